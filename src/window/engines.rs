//! The engines that come with the program, and an engine in words.

use records::record::schema::EngineRecord;

/// The demo engines: name, what they show, text.
pub const DEMOS: [(&str, &str, &str); 3] = [
    (
        "Wexcombe Six",
        "an air-cooled six, three overhauls, every outcome",
        include_str!("../../demo/wexcombe_six.ron"),
    ),
    (
        "Skarvoy 3S320",
        "three marine liners, two surveys, in millimetres",
        include_str!("../../demo/skarvoy_320.ron"),
    ),
    (
        "Penhallow Twin",
        "a vintage twin with a slip to be found",
        include_str!("../../demo/penhallow_twin.ron"),
    ),
];

/// `Wexcombe Six W6-0001`, or what is known of it.
pub fn engine_words(record: &EngineRecord) -> String {
    let words = format!("{} {}", record.engine.model, record.engine.serial);
    let words = words.trim();
    if words.is_empty() { "Engine without a name".to_owned() } else { words.to_owned() }
}
