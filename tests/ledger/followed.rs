//! One figure or requirement through the history.

use serde_json::Value;

use crate::workshop::{Workshop, lamp};

fn with_a_break() -> Workshop {
    let workshop = Workshop::new();
    workshop
        .change("parts/lamp.toml", &lamp(280), "Brighter")
        .change("parts/more.toml", "[item.glare]\ntitle = \"Glare\"\n", "An item")
        .change(
            "parts/lamp.toml",
            &(lamp(320)
                + "[decision.bright-lamp]\non = 2026-03-04\ntitle = \"A bright lamp\"\nwhy = \"Dark slides.\"\nparts = [\"lamp\"]\n"),
            "Brighter still",
        )
        .change("parts/lamp.toml", &lamp(290), "Less bright");
    workshop
}

#[test]
fn who_broke_a_requirement_and_who_mended_it_is_named() {
    let workshop = with_a_break();
    let rows = workshop.rows(&["--of", "carry-mass"]);
    let told: Vec<String> = rows
        .iter()
        .map(|row| {
            let text = |value: &Value| value.as_str().unwrap_or("-").to_owned();
            let shares = row["shares"].as_array().unwrap();
            let shares: Vec<String> = shares
                .iter()
                .map(|share| format!("{} {}", text(&share["part"]), text(&share["value"]["text"])))
                .collect();
            let decided = row["decided"].as_array().unwrap().iter().map(|it| text(&it["id"]));
            format!(
                "{}: {} {} {} [{}] {}",
                text(&row["subject"]),
                text(&row["value"]["text"]),
                text(&row["verdict"]),
                text(&row["what"]),
                shares.join(", "),
                decided.collect::<Vec<_>>().join(", "),
            )
            .trim_end()
            .to_owned()
        })
        .collect();
    assert_eq!(
        told,
        [
            "First light: 1150 g pass - []",
            "Brighter: 1180 g pass - [lamp +30 g]",
            "Brighter still: 1220 g fail broke [lamp +40 g] bright-lamp",
            "Less bright: 1190 g pass mended [lamp -30 g]",
        ]
    );
    let shown = workshop.ledger(&["--of", "carry-mass"]);
    let first = shown.lines().next().unwrap();
    assert!(first.starts_with("lantern: carry-mass passes, 1190 g; "), "{first}");
}

#[test]
fn a_figure_that_nothing_was_promised_of_is_followed_too() {
    let workshop = with_a_break();
    let values = |rows: Vec<Value>| -> Vec<f64> {
        rows.iter().map(|row| row["value"]["number"].as_f64().unwrap()).collect()
    };
    assert_eq!(values(workshop.rows(&["--of", "lamp.mass"])), [250.0, 280.0, 320.0, 290.0]);
    assert_eq!(values(workshop.rows(&["--of", "mass"])), [1150.0, 1180.0, 1220.0, 1190.0]);
    assert_eq!(values(workshop.rows(&["HEAD~2..HEAD", "--of", "mass"])), [1220.0, 1190.0]);
    // Found again, the figure is there too.
    assert_eq!(values(workshop.rows(&["--of", "lamp.mass"])), [250.0, 280.0, 320.0, 290.0]);
}

/// The last value of what is followed in the example, in its unit.
fn last(workshop: &Workshop, name: &str) -> (f64, String) {
    let rows = workshop.rows(&["--of", name]);
    let value = &rows.last().unwrap()["value"];
    (value["number"].as_f64().unwrap(), value["unit"].as_str().unwrap().to_owned())
}

#[test]
fn every_kind_of_figure_is_followed_in_its_unit() {
    let workshop = Workshop::end_of_lantern();
    let near = |name: &str, expected: f64, unit: &str| {
        let (number, shown) = last(&workshop, name);
        assert!((number - expected).abs() < 1e-9 * expected.abs(), "{name}: {number} {expected}");
        assert_eq!(shown, unit, "{name}");
    };
    // As the records have it: a value, a size with its middle, a setting.
    near("camera-arm.modulus", 2.1, "GPa");
    near("film-gate.slot", 5.025, "mm");
    near("led-panel.drive-current", 230.0, "mA");
    // Formulas over what the records state. Cantilever with a load at its end (common practice):
    // second moment w t³ / 12, sag F l³ / (3 E I).
    let weight = 9.81 * (14.0 + 92.0 + 35.1) / 1000.0;
    let second_moment = 24.0 * f64::powi(10.0, 3) / 12.0;
    near("camera-arm.camera-weight", weight, "N");
    near("camera-arm.second-moment", second_moment, "mm⁴");
    near("camera-arm.sag", weight * f64::powi(70.0, 3) / (3.0 * 2100.0 * second_moment), "mm");
    near("drive-roller.torque", 1.8 * 0.0254 / 2.0, "N·m");
    // What the state itself says, by a computation of its own.
    for name in [
        "film-gate.temperature",
        "camera-unit.centre-of-mass-x",
        "camera-unit.centre-of-mass-y",
        "twelve-volt",
        "five-volt",
        "five-volt.peak-current",
        "lens.cost",
        "gate-unit.print-time",
        "mass",
    ] {
        let output = workshop.run(&["why", name, "--format", "json"]);
        let why: Value = serde_json::from_slice(&output.stdout).unwrap();
        let value = &why["tree"]["value"];
        near(name, value["number"].as_f64().unwrap(), value["unit"].as_str().unwrap());
    }
}

#[test]
fn what_cannot_be_followed_is_told_with_a_way_on() {
    let workshop = Workshop::end_of_lantern();
    let said = |name: &str| {
        let output = workshop.run(&["ledger", "--of", name]);
        assert_eq!(output.status.code(), Some(2));
        String::from_utf8(output.stderr).unwrap()
    };
    assert!(said("led-panel").contains("it is a part: `ledger --part led-panel` lists"));
    assert!(said("carry-mas").contains("did you mean `carry-mass`?"));
    assert!(said("camera-arm.length").contains("name a requirement, a quantity of the product"));
}
