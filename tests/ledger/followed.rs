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
