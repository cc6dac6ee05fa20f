//! Keeps the sound library from writing on the therapist's screen.

/// Runs `work`, which opens sound devices. On Linux the ALSA library writes to standard error whenever a device is
/// not there, many lines at a time; on this thread they go into a buffer that nobody reads, since what matters of
/// them comes back as an error.
pub(crate) fn quietly<T>(work: impl FnOnce() -> T) -> T {
    #[cfg(target_os = "linux")]
    {
        // Without the buffer the work is the same and only the screen is worse, so a failure is no reason to stop.
        let _buffer = alsa::Output::local_error_handler();
    }
    work()
}
