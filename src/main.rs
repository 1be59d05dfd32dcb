//! Arguments → app → exit status; the only place that prints or exits.
//!
//! Exit status: 0 nothing refused, 1 refused, 2 could not decide.

use std::io::{IsTerminal, Write};
use std::process::{Command, ExitCode};
use std::time::Duration;

use clap::Parser;
use tagworthy::app;
use tagworthy::cli::{self, Cli};
use tagworthy::outside::{Outcome, World};

/// Seconds that a hook may take, unless `TAGWORTHY_SECONDS` says otherwise. The shims wait a little
/// longer, for a program that does not even get here.
const HOOK_SECONDS: u64 = 30;

fn main() -> ExitCode {
    let cli = Cli::parse();
    if let cli::Command::Hook { name } = &cli.command {
        end_in_time(name.is_of_server());
    }
    match world(matches!(cli.command, cli::Command::Hooks { .. }))
        .and_then(|world| app::run(cli, &world).map_err(|failure| failure.to_string()))
    {
        Ok(outcome) => {
            let status = u8::from(outcome.refused);
            match tell(&outcome) {
                Ok(()) => ExitCode::from(status),
                Err(error) => fails(&format!("the output could not be written: {error}")),
            }
        }
        Err(failure) => fails(&failure),
    }
}

/// Says why, on the error stream.
fn fails(why: &str) -> ExitCode {
    // Where that stream is gone too, the status is left.
    let _ = tell(&Outcome { notice: format!("tagworthy: {why}\n"), ..Outcome::default() });
    ExitCode::from(2)
}

/// Ends the program where a hook takes too long: git goes on then, a shared repository refuses.
fn end_in_time(refuses: bool) {
    let given = std::env::var("TAGWORTHY_SECONDS").ok();
    let seconds = given.and_then(|given| given.parse().ok()).unwrap_or(HOOK_SECONDS);
    let watch = move || {
        std::thread::sleep(Duration::from_secs(seconds));
        let end = if refuses { "and is refused" } else { "and git goes on" };
        let notice =
            format!("tagworthy: this takes longer than {seconds} s; it is not judged, {end}\n");
        let _ = tell(&Outcome { notice, ..Outcome::default() });
        std::process::exit(i32::from(refuses));
    };
    // Without a watch the shim's own is left.
    let _ = std::thread::Builder::new().spawn(watch);
}

/// What the program needs to know; git's version only where it matters, since that starts git.
fn world(asks_git: bool) -> Result<World, String> {
    let folder = std::env::current_dir();
    let folder = folder.map_err(|error| format!("the current folder cannot be told: {error}"))?;
    // Without a path of its own a hook looks for the program by name.
    let program = std::env::current_exe().unwrap_or_else(|_| "tagworthy".into());
    let today = jiff::Timestamp::now().to_zoned(jiff::tz::TimeZone::UTC).date();
    let is_terminal = std::io::stdout().is_terminal();
    let git = asks_git.then(git_version).flatten();
    Ok(World { folder, width: width(), is_terminal, today, program, git })
}

/// The line of `git --version`.
fn git_version() -> Option<String> {
    let output = Command::new("git").arg("--version").output().ok()?;
    String::from_utf8(output.stdout).ok()
}

/// Columns of the terminal, else of `COLUMNS`, else 80.
fn width() -> usize {
    let terminal = terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
    let columns = || std::env::var("COLUMNS").ok()?.parse().ok();
    terminal.or_else(columns).unwrap_or(80).clamp(40, 400)
}

/// Writes an outcome. A reader that went away is no error: it had seen enough.
fn tell(outcome: &Outcome) -> std::io::Result<()> {
    let _ = anstream::stderr().write_all(outcome.notice.as_bytes());
    let mut output = anstream::stdout();
    match output.write_all(outcome.output.as_bytes()).and_then(|()| output.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(error),
        _ => Ok(()),
    }
}
