//! What listening costs while nobody dictates, and how long the answer to a dictated phrase takes.
//!
//! ```text
//! cargo bench --bench listening
//! ```
//! It measures and fails nothing: what is expected stands in the table, met or missed.

mod answer;
mod idle;

fn main() {
    let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    println!(
        "{}, load before: {}",
        jiff::ZonedDateTime::now().strftime("%Y-%m-%d %H:%M"),
        load.split(' ').next().unwrap_or("unknown")
    );
    idle::table();
    answer::table();
}
