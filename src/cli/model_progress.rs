//! Shows how far work on a model's file has come, on standard error: a bar on a terminal, else a line per piece of
//! work.

use std::io::IsTerminal;

use indicatif::{DecimalBytes, ProgressBar, ProgressStyle};

use crate::hear::model::Progress;

/// What is shown now.
#[derive(Default)]
pub struct Shown {
    bar: Option<ProgressBar>,
}

impl Progress for Shown {
    fn begin(&mut self, doing: &str, bytes: u64) {
        if !std::io::stderr().is_terminal() {
            eprintln!("{doing}, {}", DecimalBytes(bytes));
            return;
        }
        let bar = ProgressBar::new(bytes).with_message(doing.to_string());
        let template = "{msg:<18} {wide_bar} {decimal_bytes} of {decimal_total_bytes}";
        // A template that can't be read would only cost the looks.
        if let Ok(style) = ProgressStyle::with_template(template) {
            bar.set_style(style);
        }
        self.bar = Some(bar);
    }

    fn advance(&mut self, bytes: u64) {
        if let Some(bar) = &self.bar {
            bar.inc(bytes);
        }
    }

    fn end(&mut self) {
        if let Some(bar) = self.bar.take() {
            // The bar gives way to the line that stands there without a terminal; left in place, it would share
            // its line with whatever is printed next.
            bar.finish_and_clear();
            eprintln!("{}, {}", bar.message(), DecimalBytes(bar.position()));
        }
    }
}

impl Drop for Shown {
    fn drop(&mut self) {
        // Work that failed leaves no half bar above the message.
        if let Some(bar) = self.bar.take() {
            bar.finish_and_clear();
        }
    }
}
