//! `measure`: sealed, overtaken by a change, carried over.

use crate::bench::{Bench, RESULTS, lamp, resized};

const WEIGHED: &[&str] = &["measure", "gate.mass", "32 g ± 1 g"];

#[test]
fn a_result_counts_until_its_part_changes_and_again_when_it_is_carried_over() {
    let bench = Bench::new();
    assert_eq!(bench.verdict("gate-light"), "unproven");
    let told = bench.says(WEIGHED);
    let head = bench.head();
    assert_eq!(
        told.trim_end(),
        format!("gate-mass in design/evidence.toml, sealed over 1 part at {head}")
    );
    assert_eq!(bench.verdict("gate-light"), "pass");
    bench.0.write("parts/lamp.toml", lamp("L-260"));
    assert_eq!(bench.verdict("gate-light"), "pass", "the lamp was not on the bench");
    bench.0.write("parts/scanner.toml", resized());
    assert_eq!(bench.verdict("gate-light"), "stale");
    let carried = ["measure", "gate", "--carries-over", "gate-mass", "--why", "weighs the same"];
    assert_eq!(
        bench.says(&carried).trim_end(),
        "gate-mass in design/evidence.toml, carried over to gate as it is now"
    );
    assert_eq!(bench.verdict("gate-light"), "pass");
}

#[test]
fn only_a_change_is_carried_over() {
    let bench = Bench::new();
    bench.says(&[WEIGHED, &["--with", "lamp"]].concat());
    let onto = |part| ["measure", part, "--carries-over", "gate-mass", "--why", "weighs the same"];
    let told = bench.fails(&onto("gate"));
    assert!(told.contains("no part changed that `gate-mass` covers, and it counts"), "{told}");
    bench.0.write("parts/lamp.toml", lamp("L-260"));
    let told = bench.fails(&onto("gate"));
    assert!(told.contains("`gate` is what it was when `gate-mass` was won\n"), "{told}");
    assert!(told.contains("what changed is lamp"), "{told}");
    bench.0.write("parts/scanner.toml", resized());
    let told = bench.says(&onto("gate"));
    assert!(told.contains("carried over to gate as it is now; still stale by lamp"), "{told}");
    bench.says(&onto("lamp"));
    assert_eq!(bench.verdict("gate-light"), "pass");
}

#[test]
fn remarks_and_line_ends_stay() {
    let bench = Bench::new();
    bench.says(&[WEIGHED, &["--on", "2026-10-02"]].concat());
    let text = bench.read("design/evidence.toml");
    assert!(text.starts_with(RESULTS));
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    for line in ["value    = \"32 g ± 1 g\"", "by       = \"Ada Frame\"", "on       = 2026-10-02"]
    {
        assert!(text.contains(line), "{text}");
    }
}

#[test]
fn a_revision_on_the_bench_is_sealed_as_it_was_there() {
    let bench = Bench::new();
    let head = bench.head();
    bench.0.write("parts/scanner.toml", resized()).commit("A wider slot");
    let told = bench.says(&[WEIGHED, &["--revision", "HEAD~1"]].concat());
    assert!(told.trim_end().ends_with(&format!("sealed over 1 part at {head}")), "{told}");
    assert_eq!(bench.verdict("gate-light"), "stale", "another slot was on the bench");
}

#[test]
fn what_was_never_committed_is_at_no_revision() {
    let bench = Bench::new();
    bench.0.write("parts/scanner.toml", resized());
    let told = bench.says(WEIGHED);
    assert!(told.trim_end().ends_with("sealed over 1 part as they lie in the working tree"));
    assert!(!bench.read("design/evidence.toml").contains("revision"));
    assert_eq!(bench.verdict("gate-light"), "pass");
}

#[test]
fn names_are_unique_in_all_files() {
    let bench = Bench::new();
    bench.says(&[WEIGHED, &["--into", "parts/lamp.toml"]].concat());
    let told = bench.says(&[WEIGHED, &["--into", "design/evidence.toml"]].concat());
    assert!(told.starts_with("gate-mass-2 in design/evidence.toml"), "{told}");
}

#[test]
fn what_would_be_wrong_is_not_written() {
    let bench = Bench::new();
    let wrong = bench.fails(&["measure", "gate.mass", "32 K"]);
    assert!(
        wrong.contains("nothing was written to design/evidence.toml: wrong-dimension"),
        "{wrong}"
    );
    let unknown = bench.fails(&["measure", "gat.mass", "32 g"]);
    assert!(unknown.contains("did you mean `gate`?"), "{unknown}");
    let elsewhere = bench.fails(&[WEIGHED, &["--into", "README.md"]].concat());
    assert!(elsewhere.contains("`README.md` is no record file of lantern"), "{elsewhere}");
    let nowhere = bench.fails(&[WEIGHED, &["--revision", "v9"]].concat());
    assert!(nowhere.contains("v9"), "{nowhere}");
}

/// A result of the whole scanner.
const LOOKED_AT: &[&str] = &["measure", "scanner.mass", "300 g", "--method", "test"];

/// The parts of the one seal in the file of results.
fn sealed(bench: &Bench) -> Vec<String> {
    let text = bench.read("design/evidence.toml");
    let (_, seal) = text.split_once(".seal]").unwrap();
    let parts = seal.lines().filter_map(|line| line.split_once('='));
    parts.map(|(part, _)| part.trim().to_owned()).collect()
}

#[test]
fn of_a_variant_what_it_drops_is_not_sealed() {
    let bench = Bench::new();
    let travel = "[variant.travel]\ntitle = \"By daylight\"\ndrop = [\"lamp\"]\n";
    bench.0.write("design/travel.toml", travel).commit("A build for travelling");
    bench.says(&[LOOKED_AT, &["--variant", "travel"]].concat());
    assert_eq!(sealed(&bench), ["gate", "scanner"]);
    assert!(bench.read("design/evidence.toml").contains("variant  = \"travel\""));
    let unknown = bench.fails(&[LOOKED_AT, &["--variant", "travl"]].concat());
    assert!(unknown.contains("did you mean `travel`?"), "{unknown}");
}

#[test]
fn what_is_excepted_is_not_sealed_and_its_reason_is_kept() {
    let bench = Bench::new();
    bench.says(&[LOOKED_AT, &["--except", "lamp=a dummy of its weight"]].concat());
    assert_eq!(sealed(&bench), ["gate", "scanner"]);
    let text = bench.read("design/evidence.toml");
    assert!(text.contains("{ lamp = \"a dummy of its weight\" }"), "{text}");
    let no_reason = bench.fails(&[LOOKED_AT, &["--except", "lamp"]].concat());
    assert!(no_reason.contains("the reason is missing"), "{no_reason}");
}

#[test]
fn a_log_is_named_from_the_folder_where_it_was_typed() {
    let bench = Bench::new();
    bench.0.write("design/logs/scale.csv", "31.9\n").write("photos/scale.jpg", "");
    let files = ["--file", "scale.csv", "--file", "../../photos/scale.jpg"];
    bench.says_in("design/logs", &[WEIGHED, &files].concat());
    let text = bench.read("design/evidence.toml");
    assert!(text.contains("[\"logs/scale.csv\", \"/photos/scale.jpg\"]"), "{text}");
    let output = bench.fails(&[WEIGHED, &["--file", "../scale.csv"]].concat());
    assert!(output.contains("does not lie in the repository"), "{output}");
}

#[test]
fn a_log_of_a_design_in_a_folder_is_named_as_its_records_mean_it() {
    let bench = Bench::new();
    for (from, to) in
        [("tagworthy.toml", "lantern/"), ("parts", "lantern/"), ("design", "lantern/tests")]
    {
        std::fs::create_dir_all(bench.0.path().join("lantern")).unwrap();
        bench.0.git(&["mv", from, to]);
    }
    let manifest = bench.read("lantern/tagworthy.toml").replace("design/*", "tests/*");
    bench.0.write("lantern/tagworthy.toml", manifest).write("lantern/logs/run.csv", "31.9\n");
    bench.0.write("bench/scale.csv", "31.8\n").write("lantern/tests/scale.csv", "31.7\n");
    bench.0.commit("In a folder of its own");
    let files = ["logs/run.csv", "../bench/scale.csv", "tests/scale.csv", "/lantern/logs/run.csv"];
    let files = files.map(|file| ["--file", file]).concat();
    bench.says_in("lantern", &[WEIGHED, &files].concat());
    let text = bench.read("lantern/tests/evidence.toml");
    let named = "[\"/logs/run.csv\", \"../../bench/scale.csv\", \"scale.csv\", \"/logs/run.csv\"]";
    assert!(text.contains(named), "{text}");
    let told = String::from_utf8(bench.run_in("lantern", &["ready"]).stdout).unwrap();
    assert!(
        !told.contains("run.csv") && !told.contains("scale.csv"),
        "every file is there: {told}"
    );
}

#[test]
fn a_result_without_a_unit_is_a_number() {
    let bench = Bench::new();
    let wide = resized().replace("mass = \"31 g\"", "formula = { squeeze = \"slot / 4 mm\" }");
    bench.0.write("parts/scanner.toml", wide).commit("A wider slot");
    bench.says(&["measure", "gate.squeeze", "1.25"]);
    bench.says(&["measure", "gate.squeeze", "1.25 ± 0.02"]);
    let text = bench.read("design/evidence.toml");
    assert!(text.contains("value    = \"1.25\"") && text.contains("\"1.25 ± 0.02\""), "{text}");
    let wrong = bench.fails(&["measure", "gate.mass", "31"]);
    assert!(wrong.contains("a unit is missing: a mass is wanted"), "{wrong}");
}

#[test]
fn what_no_requirement_asks_for_is_refused() {
    let bench = Bench::new();
    let trials = ["measure", "gate", "--trials", "5/5"];
    let told = bench.fails(&trials);
    assert!(told.contains("no requirement asks for trials of `gate`\n"), "{told}");
    assert!(told.contains("no requirement is shown by trials"), "{told}");
    let wanted = "[requirement.feeds]\npart = \"gate\"\nsuccess = \"90 %\"\nconfidence = \"90 %\"\n\
                  trials = 22\nmethod = \"demonstration\"\n\
                  [requirement.even]\npart = \"gate\"\nmethod = \"inspection\"\n";
    bench.0.write("design/trials.toml", wanted).commit("What is tried");
    let told = bench.fails(&trials);
    let by = "`feeds` is shown by demonstration, and this would be a result by test\nsay so with";
    assert!(told.contains(&format!("{by} --method demonstration")), "{told}");
    let told = bench.fails(&["measure", "lamp", "--trials", "5/5"]);
    assert!(told.contains("name what it speaks to with --verifies: feeds"), "{told}");
    let told = bench.fails(&["measure", "gate", "--outcome", "pass", "--method", "inspection"]);
    assert!(told.contains("no requirement asks for outcomes of `gate`"), "{told}");
    assert!(told.contains("--verifies: even"), "{told}");
    bench.says(&[&trials[..], &["--method", "demonstration"]].concat());
    let none = bench.fails(&[&trials[..], &["--sample", "0"]].concat());
    assert!(none.contains("invalid value '0' for '--sample <COUNT>'"), "{none}");
}

#[test]
fn before_the_first_commit_the_working_tree_is_sealed() {
    let bench = Bench::uncommitted();
    let told = bench.says(WEIGHED);
    assert!(told.trim_end().ends_with("sealed over 1 part as they lie in the working tree"));
    assert!(!bench.read("design/evidence.toml").contains("revision"));
    assert_eq!(bench.verdict("gate-light"), "pass");
}

#[cfg(unix)]
#[test]
fn a_record_file_keeps_its_mode() {
    use std::fs::{Permissions, metadata, set_permissions};
    use std::os::unix::fs::PermissionsExt;
    let bench = Bench::new();
    let file = bench.0.path().join("design/evidence.toml");
    for mode in [0o755, 0o640] {
        set_permissions(&file, Permissions::from_mode(mode)).unwrap();
        bench.says(WEIGHED);
        assert_eq!(metadata(&file).unwrap().permissions().mode() & 0o777, mode);
    }
}
