//! Speech model files: conversion, digests, damaged files, the folder, the commands.

mod adding;
mod bad_ct2;
mod bad_ggml;
mod bad_sources;
mod change;
mod command;
mod fuzz;
mod lists;
mod loading;
mod mel;
mod published;
mod synthetic;
