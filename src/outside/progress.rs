//! How far long work has come, on the error stream where that is a terminal; nowhere else.

use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// What is done sooner shows nothing.
const SHOWN_AFTER: Duration = Duration::from_millis(500);

/// Work of so many steps. What it shows goes away with it.
pub struct Progress {
    bar: ProgressBar,
    begun: Instant,
    /// Where it will be shown, until it is.
    target: Option<ProgressDrawTarget>,
}

impl Progress {
    /// Work that is called `what`, with nothing done yet.
    #[must_use]
    pub fn of(what: &'static str, steps: usize) -> Self {
        Self::on(ProgressDrawTarget::stderr(), what, steps)
    }

    fn on(target: ProgressDrawTarget, what: &'static str, steps: usize) -> Self {
        let bar = ProgressBar::with_draw_target(Some(steps as u64), ProgressDrawTarget::hidden());
        let style = ProgressStyle::with_template("{msg} {bar:32} {pos} of {len}");
        let style = style.unwrap_or_else(|_| ProgressStyle::default_bar());
        bar.set_style(style.progress_chars("=> "));
        bar.set_message(what);
        Self { bar, begun: Instant::now(), target: Some(target) }
    }

    /// One more step is done.
    pub fn passed(&mut self) {
        self.passed_at(self.begun.elapsed());
    }

    fn passed_at(&mut self, elapsed: Duration) {
        self.bar.inc(1);
        if elapsed >= SHOWN_AFTER
            && let Some(target) = self.target.take()
        {
            self.bar.set_draw_target(target);
            self.bar.tick();
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

#[cfg(test)]
mod tests {
    use std::io;
    use std::sync::{Arc, Mutex};

    use indicatif::TermLike;

    use super::*;

    /// A terminal that remembers what was written to it.
    #[derive(Clone, Debug, Default)]
    struct Screen(Arc<Mutex<String>>);

    impl Screen {
        fn told(&self) -> String {
            self.0.lock().expect("a test of one thread").clone()
        }

        fn add(&self, text: &str) -> io::Result<()> {
            self.0.lock().expect("a test of one thread").push_str(text);
            Ok(())
        }
    }

    impl TermLike for Screen {
        fn width(&self) -> u16 {
            80
        }
        fn move_cursor_up(&self, _: usize) -> io::Result<()> {
            Ok(())
        }
        fn move_cursor_down(&self, _: usize) -> io::Result<()> {
            Ok(())
        }
        fn move_cursor_right(&self, _: usize) -> io::Result<()> {
            Ok(())
        }
        fn move_cursor_left(&self, _: usize) -> io::Result<()> {
            Ok(())
        }
        fn write_line(&self, text: &str) -> io::Result<()> {
            self.add(text)
        }
        fn write_str(&self, text: &str) -> io::Result<()> {
            self.add(text)
        }
        fn clear_line(&self) -> io::Result<()> {
            self.add("<cleared>")
        }
        fn flush(&self) -> io::Result<()> {
            Ok(())
        }
    }

    fn on(screen: &Screen) -> Progress {
        let target = ProgressDrawTarget::term_like(Box::new(screen.clone()));
        Progress::on(target, "revisions", 200)
    }

    #[test]
    fn short_work_shows_nothing() {
        let screen = Screen::default();
        let mut progress = on(&screen);
        (0..200).for_each(|_| progress.passed_at(Duration::ZERO));
        drop(progress);
        assert_eq!(screen.told(), "");
    }

    #[test]
    fn long_work_says_how_far_it_has_come_and_goes_away() {
        let screen = Screen::default();
        let mut progress = on(&screen);
        (0..50).for_each(|_| progress.passed_at(Duration::ZERO));
        progress.passed_at(SHOWN_AFTER);
        let told = screen.told();
        assert!(told.contains("revisions ========>") && told.contains("51 of 200"), "{told}");
        drop(progress);
        assert!(screen.told().ends_with("<cleared>"), "{}", screen.told());
    }
}
