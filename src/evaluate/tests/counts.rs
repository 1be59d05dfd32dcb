use super::budget;

const TEXT: &str = r#"
    [supplier.bolt-shop]
    [supplier.glass-shop]
    [requirement]
    a = { part = "scanner", quantity = "pieces", at-most = 100 }
    b = { part = "scanner", quantity = "part-kinds", at-most = 100 }
    c = { part = "scanner", quantity = "designation-kinds", at-most = 100 }
    d = { part = "scanner", quantity = "made-parts", at-most = 100 }
    e = { part = "scanner", quantity = "suppliers", at-most = 100 }
    f = { part = "scanner", quantity = "tools", at-most = 100 }
    g = { part = "scanner", quantity = "steps", at-most = 100 }
    [part.scanner]
    origin = "assembled"
    contains = { gate-unit = 2, screw = 4, short-screw = 2, felt = "0.35 m", lens = 1, program = 1 }
    [part.gate-unit]
    origin = "assembled"
    contains.gate = 1
    contains.screw = 2
    contains.shim = { count = 1, optional = true }
    [part.gate]
    origin = "printed"
    [part.screw]
    origin = "bought"
    designation = "ISO 4762 M3x8"
    [[part.screw.offer]]
    supplier = "bolt-shop"
    price = "0.08 EUR"
    [[part.screw.offer]]
    supplier = "glass-shop"
    price = "0.10 EUR"
    [part.short-screw]
    origin = "bought"
    designation = "ISO 4762 M3x8"
    [[part.short-screw.offer]]
    supplier = "bolt-shop"
    price = "0.07 EUR"
    [part.shim]
    origin = "bought"
    designation = "DIN 988 3x6x0.1"
    [part.felt]
    origin = "bought"
    [part.lens]
    origin = "bought"
    [[part.lens.offer]]
    supplier = "glass-shop"
    price = "30 EUR"
    [part.program]
    origin = "firmware"
    [step.hang-the-gate]
    makes = { gate-unit = 1 }
    times = 2
    tools = ["hex key 2.5 mm", "tweezers"]
    [step.place-the-shim]
    makes = { gate-unit = 1 }
    times = 2
    option = "shim"
    tools = ["feeler gauge"]
    [step.close]
    tools = ["hex key 2.5 mm"]
"#;

/// Without and with all options.
fn count(quantity: &str) -> (f64, f64) {
    let budget = budget(TEXT, quantity);
    let without = budget.total.basic;
    (without, budget.with_options.map_or(without, |with| with.basic))
}

#[test]
fn everything_is_counted_in_its_own_way() {
    assert_eq!(count("pieces"), (13.0, 15.0), "8 + 2 screws, 2 gates, 1 lens; then 2 shims");
    assert_eq!(count("part-kinds"), (6.0, 7.0));
    assert_eq!(count("designation-kinds"), (1.0, 2.0));
    assert_eq!(count("made-parts"), (2.0, 2.0));
    assert_eq!(count("suppliers"), (2.0, 2.0));
    assert_eq!(count("tools"), (2.0, 3.0));
    assert_eq!(count("steps"), (3.0, 5.0));
}

#[test]
fn suppliers_are_not_known_while_a_part_has_no_offer() {
    assert_eq!(budget(TEXT, "suppliers").missing.len(), 2, "felt, and the gate's material");
    assert_eq!(budget(TEXT, "pieces").missing, []);
}
