//! Two ways timed by turns, so that whatever else the machine does strikes both alike.

#[path = "processor.rs"]
mod processor;

use std::sync::Mutex;
use std::time::{Duration, Instant};

use divan::Bencher;

/// What was found, for when the table of the harness is finished.
static FOUND: Mutex<Vec<String>> = Mutex::new(Vec::new());

/// Measures `ours`, and `other`, which is called so, before each of its runs; notes the ratio of the two.
pub fn compare(
    bencher: Bencher<'_, '_>,
    [what, other_name]: [&str; 2],
    mut ours: impl FnMut(),
    mut other: impl FnMut(),
) {
    let (mut our_times, mut other_times) = (Vec::new(), Vec::new());
    bencher
        .with_inputs(|| other_times.push(time(&mut other)))
        .bench_local_values(|()| our_times.push(time(&mut ours)));
    if our_times.is_empty() {
        return; // The harness only listed what there is.
    }
    let runs = our_times.len();
    let (our_time, other_time) = (median(our_times), median(other_times));
    let ratio = our_time.as_secs_f64() / other_time.as_secs_f64();
    let mut line = format!(
        "{what}: {:.2} ms, {other_name} {:.2} ms, ratio {ratio:.2} (medians of {runs} runs by turns)",
        milliseconds(our_time),
        milliseconds(other_time),
    );
    if let (Some(ours), Some(other)) =
        (processor::time_of(&mut ours), processor::time_of(&mut other))
    {
        let [ours, other] = [ours, other].map(milliseconds);
        line += &format!("; processor {ours:.1} ms, {other_name} {other:.1} ms");
    }
    FOUND.lock().expect("no benchmark panicked").push(line);
}

/// Prints what was found.
pub fn tell() {
    for line in FOUND.lock().expect("no benchmark panicked").iter() {
        println!("{line}");
    }
}

fn time(run: &mut impl FnMut()) -> Duration {
    let start = Instant::now();
    run();
    start.elapsed()
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}

fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}
