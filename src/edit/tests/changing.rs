//! Records that are there already, changed in place.

use super::*;

const OPEN: &str = r#"# What is open.

[item.led-glare]                # seen by Ines
title  = "Glare at the gate's left edge"   # only with the lamp on
opened = 2026-09-19
due    = "1.0.0"   # deferred?
# effort = "2 d"

[item.laptop-socket]
title = "Draw the board"
"#;

fn closed(text: &str, id: &str) -> Result<String, EditError> {
    close_item(text, Role::Records, &id.into(), day("2026-10-20"), "Moved by 3 mm.")
}

/// The lines that only the later text has.
fn new_lines(before: &str, after: &str) -> String {
    let lines = after.lines().filter(|line| !before.lines().any(|old| old == *line));
    lines.collect::<Vec<_>>().join("\n")
}

#[test]
fn an_item_is_closed_where_it_stands() {
    insta::assert_snapshot!(closed(OPEN, "led-glare").unwrap(), @r#"
    # What is open.

    [item.led-glare]                # seen by Ines
    title  = "Glare at the gate's left edge"   # only with the lamp on
    opened = 2026-09-19
    due    = "1.0.0"   # deferred?
    closed = 2026-10-20
    result = "Moved by 3 mm."
    # effort = "2 d"

    [item.laptop-socket]
    title = "Draw the board"
    "#);
}

#[test]
fn an_item_is_closed_once_and_not_before_it_was_opened() {
    let once = closed(OPEN, "led-glare").unwrap();
    insta::assert_snapshot!(refused(closed(&once, "led-glare")), @"the item `led-glare` is closed already");
    insta::assert_snapshot!(refused(closed(OPEN, "led-glow")), @"there is no [item.led-glow]");
    let later = OPEN.replace("2026-09-19", "2026-12-01");
    insta::assert_snapshot!(refused(closed(&later, "led-glare")), @"the record would be wrong: closed before it was opened on 2026-12-01");
}

#[test]
fn a_key_that_is_there_keeps_its_place_and_remark() {
    let pairs = [("due", Value::text("1.1.0")), ("note", Value::text("later"))];
    let after = set_keys(OPEN, Role::Records, &["item", "led-glare"], &pairs).unwrap();
    insta::assert_snapshot!(new_lines(OPEN, &after), @r#"
    due    = "1.1.0"   # deferred?
    note   = "later"
    "#);
}

#[test]
fn every_form_of_a_record_can_be_closed() {
    let check = |text: &str, expected: &str| assert_eq!(closed(text, "a").unwrap(), expected);
    let line = "closed = 2026-10-20\nresult = \"Moved by 3 mm.\"";
    let within = "closed = 2026-10-20, result = \"Moved by 3 mm.\"";
    check("[item.a]", &format!("[item.a]\n{line}"));
    check("[item.a] # b\n\n\n", &format!("[item.a] # b\n{line}\n\n\n"));
    check(
        "[item.a]\r\ntitle = \"b\"",
        &format!("[item.a]\r\ntitle = \"b\"\r\n{}", line.replace('\n', "\r\n")),
    );
    check(
        "  [item.a]\n  title = \"b\"\n",
        &format!("  [item.a]\n  title = \"b\"\n  {}\n", line.replace('\n', "\n  ")),
    );
    check(
        "item.a.title = \"b\" # c\npart.d = {}",
        &format!(
            "item.a.title = \"b\" # c\nitem.a.{}\npart.d = {{}}",
            line.replace('\n', "\nitem.a.")
        ),
    );
    check("[item]\na = {}\n", &format!("[item]\na = {{ {within}}}\n"));
    check(
        "item = { a = { title = \"b\" } }",
        &format!("item = {{ a = {{ title = \"b\", {within} }} }}"),
    );
    check(
        "[item.a]\nnote = \"\"\"\nb\nc\"\"\"  # d\n",
        &format!("[item.a]\nnote = \"\"\"\nb\nc\"\"\"  # d\n{line}\n"),
    );
}

const SOAK: &str = r#"[evidence.gate-soak-2]
part    = "film-gate"
outcome = "pass"   # barely
# Repeat in summer.

[part.film-gate]
origin = "printed"
"#;

fn carried(text: &str) -> Result<String, EditError> {
    let part = Id::from("film-gate");
    carry_over(text, Role::Records, &"gate-soak-2".into(), (&part, "g1 m2"), "another chamfer")
}

fn sealed(text: &str) -> Result<String, EditError> {
    add_seal(text, Role::Records, &"gate-soak-2".into(), &[("film-gate".into(), "g5f0c91".into())])
}

#[test]
fn a_result_is_carried_over_to_a_later_state() {
    insta::assert_snapshot!(carried(SOAK).unwrap(), @r#"
    [evidence.gate-soak-2]
    part    = "film-gate"
    outcome = "pass"   # barely
    # Repeat in summer.
    [[evidence.gate-soak-2.carries-over]]
    part = "film-gate"
    seal = "g1 m2"
    why  = "another chamfer"

    [part.film-gate]
    origin = "printed"
    "#);
    let twice = carried(&carried(SOAK).unwrap()).unwrap();
    assert_eq!(twice.matches("[[evidence.gate-soak-2.carries-over]]\npart").count(), 2, "{twice}");
}

#[test]
fn a_result_is_sealed_once() {
    let without_remark = SOAK.replace("# Repeat in summer.\n", "");
    let text = sealed(&carried(&without_remark).unwrap()).unwrap();
    insta::assert_snapshot!(text, @r#"
    [evidence.gate-soak-2]
    part    = "film-gate"
    outcome = "pass"   # barely
    [evidence.gate-soak-2.seal]
    film-gate = "g5f0c91"
    [[evidence.gate-soak-2.carries-over]]
    part = "film-gate"
    seal = "g1 m2"
    why  = "another chamfer"

    [part.film-gate]
    origin = "printed"
    "#);
    insta::assert_snapshot!(refused(sealed(&text)), @"[evidence.gate-soak-2.seal] is there already");
    insta::assert_snapshot!(refused(sealed("")), @"there is no [evidence.gate-soak-2]");
}

#[test]
fn results_in_other_forms_are_sealed_and_carried_over_in_theirs() {
    let inline = "[evidence]\ngate-soak-2 = { part = \"film-gate\", outcome = \"pass\" }\n";
    insta::assert_snapshot!(sealed(&carried(inline).unwrap()).unwrap(), @r#"
    [evidence]
    gate-soak-2 = { part = "film-gate", outcome = "pass", carries-over = [{ part = "film-gate", seal = "g1 m2", why = "another chamfer" }], seal = { film-gate = "g5f0c91" } }
    "#);
    let list = "[evidence.gate-soak-2]\npart = \"film-gate\"\noutcome = \"pass\"\ncarries-over = [\n  # none\n]\n";
    let once = carried(list).unwrap();
    insta::assert_snapshot!(carried(&once).unwrap(), @r#"
    [evidence.gate-soak-2]
    part = "film-gate"
    outcome = "pass"
    carries-over = [{ part = "film-gate", seal = "g1 m2", why = "another chamfer" }, { part = "film-gate", seal = "g1 m2", why = "another chamfer" }
      # none
    ]
    "#);
}

#[test]
fn the_example_keeps_its_columns() {
    let open = include_str!("../../../example-project/design/open.toml");
    let after = closed(open, "led-glare").unwrap();
    let (before, behind) = after.split_once("[item.led-glare]").unwrap();
    assert!(open.starts_with(before));
    let (item, behind) = behind.split_once("\n\n").unwrap();
    assert!(open.ends_with(behind));
    insta::assert_snapshot!(item.trim(), @r#"
    title  = "Glare at the gate's left edge"
    opened = 2026-09-19
    parts  = ["lamp-shell", "led-panel"]
    blocks = ["even-light"]               # what it holds up
    after  = ["diffuser-trial"]           # what comes first
    due    = "1.0.0"
    effort = "2 d"
    closed = 2026-10-20
    result = "Moved by 3 mm."
    "#);
}

const OFFERS: &str = r#"
[part.lens]
origin = "bought"
offer = [{ supplier = "glass-shop", code = "L-35", price = "30 EUR" }]   # by the pair
[part.panel]
origin = "board"
[[part.panel.offer]]
supplier = "board-shop"
code     = "LP-2"
price    = "81.00 EUR"     # a panel of our own
[[part.panel.offer]]
supplier = "board-shop"
code     = "SB-60"
price    = "46.00 EUR"
"#;

fn priced(part: &str, code: &str, price: &str) -> Result<String, EditError> {
    let (path, pairs) = (["part", part], [("price", Value::text(price))]);
    set_in_list(OFFERS, Role::Records, &path, ("offer", "code", code), &pairs)
}

#[test]
fn an_element_of_a_list_is_told_by_one_of_its_keys() {
    let of = |part, code| new_lines(OFFERS, &priced(part, code, "29 EUR").unwrap());
    assert_eq!(of("panel", "LP-2"), "price    = \"29 EUR\"     # a panel of our own");
    assert_eq!(of("panel", "SB-60"), "price    = \"29 EUR\"");
    let lens = of("lens", "L-35");
    assert!(lens.ends_with("price = \"29 EUR\" }]   # by the pair"), "{lens}");
}

#[test]
fn an_element_that_is_not_there_is_not_set() {
    insta::assert_snapshot!(refused(priced("lens", "L-50", "29 EUR")), @"there is no [part.lens.offer.L-50]");
    insta::assert_snapshot!(refused(priced("lens", "L-35", "29 EURO")), @r"
    the record would be wrong: unknown unit `EURO`
    did you mean `EUR`?
    ");
}
