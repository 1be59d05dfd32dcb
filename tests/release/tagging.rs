//! `release`: what it writes, and when it refuses.

use crate::workshop::Workshop;

#[test]
fn a_release_is_an_annotated_tag_that_git_finds_in_order() {
    let shop = Workshop::new();
    let told = shop.says(&["release", "0.1.0"]);
    assert!(told.contains("released as v0.1.0"), "{told}");
    assert_eq!(shop.0.git_line(&["cat-file", "-t", "v0.1.0"]), "tag");
    shop.0.git(&["fsck", "--strict"]);
    let head = shop.0.git_line(&["rev-parse", "HEAD"]);
    assert_eq!(shop.0.git_line(&["rev-parse", "v0.1.0^{commit}"]), head);
    let told = shop.says(&["verify", "v0.1.0"]);
    assert!(told.contains("its record is what is worked out"), "{told}");
}

#[test]
fn a_dry_run_shows_everything_and_writes_nothing() {
    let shop = Workshop::new();
    let before = shop.0.git(&["for-each-ref"]);
    let told = shop.says(&["release", "0.1.0", "--dry-run"]);
    assert!(told.contains("can be released as v0.1.0") && told.contains("carry-mass"), "{told}");
    assert_eq!(shop.0.git(&["for-each-ref"]), before);
    let json = shop.says(&["release", "0.1.0", "--dry-run", "--format", "json"]);
    assert!(json.contains("\"bill\": \"sha256:"), "{json}");
}

#[test]
fn a_release_is_made_once() {
    let shop = Workshop::new();
    shop.says(&["release", "0.1.0"]);
    let object = shop.0.git_line(&["rev-parse", "v0.1.0"]);
    let told = shop.refuses(&["release", "0.1.0"]);
    assert!(told.contains("there is a tag v0.1.0 already"), "{told}");
    assert_eq!(shop.0.git_line(&["rev-parse", "v0.1.0"]), object);
}

#[test]
fn a_release_is_the_one_that_the_manifest_prepares() {
    let shop = Workshop::new();
    shop.says(&["release", "0.1.0-rc.1"]);
    shop.says(&["release", "0.1.0"]);
    let told = shop.refuses(&["release", "0.1.1"]);
    let why = "the manifest prepares 0.1.0: set next = \"0.1.1\" in it, and commit that";
    assert!(told.contains(why), "{told}");
    assert_eq!(shop.tags(), "v0.1.0\nv0.1.0-rc.1");
    // A tag that was made past the program changes nothing for the one before it.
    shop.0.git(&["tag", "v0.1.1"]);
    let told = shop.says(&["verify", "v0.1.0"]);
    assert!(told.contains("its record is what is worked out"), "{told}");
}

/// Semantic Versioning 2.0.0, 4 and 8: a break is a minor step before 1.0.0, a major one after.
#[test]
fn a_version_that_hides_a_break_is_refused() {
    let shop = Workshop::new();
    let told = shop.fails(&["release"]);
    assert!(told.contains("there is no release before HEAD"), "{told}");
    shop.says(&["release", "0.1.0"]);
    let told = shop.fails(&["release"]);
    assert!(told.contains("HEAD is the release 0.1.0 itself (v0.1.0)"), "{told}");
    shop.with_gate("2.0.0", "6 mm")
        .0
        .write("parts/gate.stl", "solid g\nendsolid g\n")
        .commit("Stl");
    let told = shop.says(&["release"]);
    assert!(told.starts_with("lantern after 0.1.0: 0.2.0 or higher, 1 break"), "{told}");
    assert!(told.contains("1.0.0 → 2.0.0: no longer interchangeable; breaks scanner"), "{told}");
    let told = shop.refuses(&["release", "0.1.1"]);
    assert!(told.contains("0.1.1 is too low"), "{told}");
    let told = shop.refuses(&["release", "0.0.9"]);
    assert!(told.contains("0.0.9 is not above 0.1.0"), "{told}");
    for (version, why) in [("0.1.1", "0.1.1 is too low"), ("0.1.0", "0.1.0 is not above 0.1.0")] {
        let told = shop.refuses(&["ready", version, "--at", "HEAD"]);
        assert!(told.contains("not ready, the version in the way"), "{told}");
        assert!(told.contains(&format!("0.2.0 or higher, 1 break; {why}")), "{told}");
        assert!(told.contains("1.0.0 → 2.0.0: no longer interchangeable"), "{told}");
        assert!(told.contains("call it 0.2.0 or higher"), "{told}");
        assert!(!told.contains("waiver"), "no waiver helps: {told}");
    }
    assert!(shop.says(&["ready", "0.2.0"]).contains("ready, nothing in the way"));
    assert!(shop.says(&["ready", "0.1.0", "--at", "v0.1.0"]).contains("nothing in the way"));
    assert_eq!(shop.tags(), "v0.1.0");
    shop.prepare("1.0.0").says(&["release", "1.0.0"]);
    shop.with_gate("3.0.0", "7 mm");
    assert!(shop.says(&["release"]).contains("after 1.0.0: 2.0.0 or higher"));
}

#[test]
fn what_is_not_ready_is_not_released() {
    let shop = Workshop::new();
    let heavy = crate::workshop::parts("1.0.0", "5 mm").replace("100 g", "300 g");
    shop.0.write("parts/scanner.toml", heavy).commit("Too heavy");
    let told = shop.refuses(&["release", "0.1.0"]);
    assert!(told.contains("not ready, 1 of 1 requirement in the way"), "{told}");
    assert_eq!(shop.tags(), "");
}

/// What cannot be read is told with its place, and no tag is made of it.
#[test]
fn records_with_slips_are_not_released_and_nothing_is_written() {
    let shop = Workshop::new();
    let parts = crate::workshop::parts("1.0.0", "5 mm");
    let before = shop.0.git(&["for-each-ref"]);
    let offer =
        "\n[[part.lamp.offer]]\nsupplier = \"corner-shop\"\ncode = \"L-1\"\nprice = \"5 EUR\"\n";
    let steps = |steps: &str| format!("{parts}{steps}");
    for (text, why) in [
        (
            parts.replace("price = \"4 EUR\"", &format!("price = \"4 EUR\"{offer}")),
            "offers `L-1` twice",
        ),
        (parts.replace("\"4 EUR\"", "\"-4 EUR\""), "a price cannot be negative"),
        (
            parts.replace("\"4 EUR\"", "\"4 EUR\"\npack = 0"),
            "a pack of zero pieces cannot be bought",
        ),
        (steps("[step.a]\nuses = { gtae = 1 }\n"), "there is no part `gtae`"),
        (
            steps("[step.a]\nafter = [\"b\"]\n[step.b]\nafter = [\"a\"]\n"),
            "steps wait for each other: a → b → a",
        ),
    ] {
        shop.0.write("parts/scanner.toml", text).commit("A slip");
        for arguments in [&["release", "0.1.0"][..], &["bom"], &["steps"], &["ready"]] {
            let told = shop.refuses(arguments);
            let flat = told.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(flat.contains(why), "{arguments:?} {told}");
            assert!(told.contains("parts/scanner.toml:"), "{arguments:?} {told}");
        }
    }
    let heads = |refs: Vec<u8>| {
        let refs = String::from_utf8(refs).unwrap();
        refs.lines()
            .filter(|line| !line.contains("refs/heads/"))
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    assert_eq!(heads(shop.0.git(&["for-each-ref"])), heads(before));
}

/// The title holds line breaks, a heading, a mention, a link and HTML.
#[test]
fn a_title_adds_no_line_and_no_markup_to_the_message() {
    let shop = Workshop::new();
    shop.says(&["release", "0.1.0"]);
    let message = shop.message("v0.1.0");
    let mut lines = message.lines();
    assert_eq!(lines.next(), Some("lantern 0.1.0"));
    assert!(
        !message.lines().any(|line| line.starts_with("# ") || line.starts_with("a [")),
        "{message}"
    );
    let title = message.lines().find(|line| line.contains("scanner](")).unwrap();
    assert!(title.contains('`') && !title.contains(" @all "), "{title}");
    assert!(message.trim_end().ends_with("end of release record"), "{message}");
}

#[test]
fn without_a_name_git_does_not_tag() {
    let mut shop = Workshop::new();
    for role in ["NAME", "EMAIL"] {
        shop.0.set(&format!("GIT_COMMITTER_{role}"), "");
    }
    let told = shop.fails(&["release", "0.1.0"]);
    assert!(told.contains("git config user.name"), "{told}");
    assert_eq!(shop.tags(), "");
}

/// The program that signs says what gpg(1) says to whoever asks for its status.
#[cfg(unix)]
#[test]
fn git_signs_the_tag_where_it_is_set_so() {
    use std::os::unix::fs::PermissionsExt;
    let shop = Workshop::new();
    let signer = shop.0.home().join("signer");
    let script = "#!/bin/sh\ncat >/dev/null\necho '[GNUPG:] SIG_CREATED D' >&2\n\
        printf -- '-----BEGIN PGP SIGNATURE-----\\n\\nAAAA\\n-----END PGP SIGNATURE-----\\n'\n";
    std::fs::write(&signer, script).unwrap();
    std::fs::set_permissions(&signer, std::fs::Permissions::from_mode(0o755)).unwrap();
    shop.0.git(&["config", "tag.gpgSign", "true"]);
    shop.0.git(&["config", "gpg.program", signer.to_str().unwrap()]);
    shop.says(&["release", "0.1.0"]);
    assert!(shop.message("v0.1.0").contains("BEGIN PGP SIGNATURE"));
    let told = shop.says(&["verify", "v0.1.0"]);
    assert!(told.contains("worked out") && told.contains("git verify-tag v0.1.0"), "{told}");
    // A program that cannot sign: git says so, and there is no tag.
    std::fs::write(&signer, "#!/bin/sh\nexit 1\n").unwrap();
    let told = shop.prepare("0.2.0").fails(&["release", "0.2.0"]);
    assert!(told.contains("git did not sign the tag v0.2.0"), "{told}");
    assert_eq!(shop.tags(), "v0.1.0");
}
