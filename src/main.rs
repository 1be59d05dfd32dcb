//! Arguments → app → exit status; the only place that prints or exits.
//!
//! Exit status: 0 nothing refused, 1 refused, 2 could not decide.

use std::io::{IsTerminal, Write};
use std::process::ExitCode;

use clap::Parser;
use tagworthy::app;
use tagworthy::cli::Cli;
use tagworthy::outside::{Outcome, World};

fn main() -> ExitCode {
    let cli = Cli::parse();
    match world().and_then(|world| app::run(cli, &world).map_err(|failure| failure.to_string())) {
        Ok(outcome) => {
            let status = u8::from(outcome.refused);
            tell(&outcome);
            ExitCode::from(status)
        }
        Err(failure) => {
            tell(&Outcome { notice: format!("tagworthy: {failure}\n"), ..Outcome::default() });
            ExitCode::from(2)
        }
    }
}

fn world() -> Result<World, String> {
    let folder = std::env::current_dir();
    let folder = folder.map_err(|error| format!("the current folder cannot be told: {error}"))?;
    // Without a path of its own a hook looks for the program by name.
    let program = std::env::current_exe().unwrap_or_else(|_| "tagworthy".into());
    let today = jiff::Timestamp::now().to_zoned(jiff::tz::TimeZone::UTC).date();
    let is_terminal = std::io::stdout().is_terminal();
    Ok(World { folder, width: width(), is_terminal, today, program })
}

/// Columns of the terminal, else of `COLUMNS`, else 80.
fn width() -> usize {
    let terminal = terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
    let columns = || std::env::var("COLUMNS").ok()?.parse().ok();
    terminal.or_else(columns).unwrap_or(80).clamp(40, 400)
}

/// Writes an outcome. A reader that went away is no error: it had seen enough.
fn tell(outcome: &Outcome) {
    let _ = anstream::stderr().write_all(outcome.notice.as_bytes());
    let mut output = anstream::stdout();
    let _ = output.write_all(outcome.output.as_bytes()).and_then(|()| output.flush());
}
