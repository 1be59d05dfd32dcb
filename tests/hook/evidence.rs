//! Evidence that names its revision alone is judged by the design that lies there.

use crate::workshop::{Workshop, lamp};

/// What `ready` says of the requirement that the lamp is quiet, shown by a look at `revision`.
fn told(workshop: &Workshop, revision: &str) -> String {
    let look = format!(
        "[requirement.quiet]\npart = \"lamp\"\nmethod = \"inspection\"\n\
         [evidence.look]\npart = \"lamp\"\nverifies = [\"quiet\"]\noutcome = \"pass\"\n\
         method = \"inspection\"\nrevision = \"{revision}\"\n"
    );
    workshop.write("parts/look.toml", &look);
    let output = String::from_utf8(workshop.tagworthy(&["ready"]).stdout).unwrap();
    let line = output.lines().find(|line| line.contains(" quiet ")).unwrap_or_default();
    line.split_whitespace().next().unwrap_or_default().to_owned()
}

#[test]
fn a_result_is_held_against_the_revision_that_was_on_the_bench() {
    let workshop = Workshop::new();
    let bench = workshop.head().trim().to_owned();
    assert_eq!(told(&workshop, &bench), "pass");
    workshop.write("parts/lamp.toml", &lamp("L-250", "251 g measured"));
    assert_eq!(told(&workshop, &bench), "pass", "only its figure is another");
    workshop.write("parts/lamp.toml", &lamp("L-260", "250 g"));
    assert_eq!(told(&workshop, &bench), "stale");
    assert_eq!(told(&workshop, "fa11ed0"), "unproven", "what is not there cannot be told from");
    workshop.lets(&["add", "."]);
    workshop.lets(&["commit", "-m", "The hook judges it too"]);
}
