//! Keys of a scenario file.

use super::{Holds, JUDGEMENT, Key, Limits, Needed, RULE, Table, table};
use crate::scenario::{Glass, Symptom};

/// What the weather may leave the glass.
pub(in crate::file) const GLASSES: [Glass; 3] = [Glass::Dry, Glass::Wet, Glass::Streaming];

const GLASS_WORDS: [&str; 3] = [GLASSES[0].word(), GLASSES[1].word(), GLASSES[2].word()];

/// What the windscreen may be besides what the weather makes of it: names of its failure modes.
pub(in crate::file) const WINDSCREENS: [&str; 2] = ["iced", "dry"];

/// Most entries of a fault pool.
const POOL_MAX: usize = 500;
/// Most faults at once.
const FAULTS_MAX: i64 = 2;
/// Most skills.
const SKILLS_MAX: usize = 20;

table! {
    scenario_table: Table::PLAIN, {
        name: "scenario",
        head: "[scenario]",
        says: "Which vehicle comes in, under which conditions it is worked on, and what may be wrong with it.",
    }
    ID = "id", Holds::Name, Needed::Always, "Its name.", RULE;
    TITLE = "title", Holds::Line, Needed::Always, "What it is called on screen.", RULE;
    OBJECTIVE = "objective", Holds::Text, Needed::Always, "What it is to teach.", RULE;
    SKILLS = "skills", Holds::List { of: &Holds::Line, least: 0, most: SKILLS_MAX }, Needed::LeftOut("none"),
        "What it exercises.", RULE;
    VEHICLE = "vehicle", Holds::Name, Needed::Always, "The vehicle's id.", RULE;
    UNIT = "unit", Holds::Line, Needed::Always, "Which unit of the fleet came in.", RULE;
    HISTORY = "history", Holds::Text, Needed::Always, "What is known of it.", RULE;
    WEATHER = "weather", Holds::Text, Needed::Always, "The weather in words, for the first screen.", RULE;
    GLASS = "glass", Holds::OneOf(&GLASS_WORDS), Needed::Always,
        "The glass as the weather leaves it: rubber has a friction of 1.0 on `dry`, 0.5 on `wet` and 0.2 on `streaming`.",
        JUDGEMENT;
    RAIN = "rain", Holds::Boolean, Needed::LeftOut("`false`"),
        "Whether it rains steadily on glass, plugs and joints while the vehicle is worked on: what leaks when wet does so \
            all the time. Not with `glass = \"dry\"`.", RULE;
    WINDSCREEN = "windscreen",
        Holds::List { of: &Holds::OneOf(&WINDSCREENS), least: 0, most: WINDSCREENS.len() },
        Needed::LeftOut("nothing else"), "What else the windscreen may be in this weather.", RULE;
    POOL = "pool", Holds::List { of: &Holds::Selector, least: 0, most: POOL_MAX }, Needed::LeftOut("all faults"),
        "Which faults may be drawn: regions, components, or `component.mode`. What is no fault only comes where the pool \
            names it, as by the region `no-fault`. A region's word means the region, whatever a component is called.", RULE;
    FAULTS = "faults", Holds::Whole { least: 1, most: FAULTS_MAX }, Needed::LeftOut("1"),
        "How many faults at once; of 2, each would bring a complaint by itself.", RULE;
    HELPER = "helper", Holds::Boolean, Needed::Always, "Whether somebody can work the controls meanwhile.", RULE;
    ALLOWANCE_MIN = "allowance_min", Holds::Minutes { least: 0.0 }, Needed::Always,
        "Minutes allowed; fewer than the way to a fault that may be drawn and its repair take are warned of.", JUDGEMENT;
    SHOP_RATE = "shop_rate", Holds::Number(Limits::from(0.01, 1e4)), Needed::Always,
        "Price of one minute of work: it turns prices of parts into minutes.", JUDGEMENT;
}

table! {
    complaints: Table::PLAIN, {
        name: "complaints",
        head: "[complaints]",
        says: "The driver's words for each symptom that this scenario may bring, one at least. They describe what a driver \
            sees and hears, and name no cause.",
        least: 1,
    }
}

/// A key for each symptom, in the order of [`Symptom::ALL`].
pub(in crate::file) static COMPLAINTS: [Key; Symptom::ALL.len()] = {
    let mut keys = [const { complaint(Symptom::Dead) }; Symptom::ALL.len()];
    let mut at = 0;
    while at < keys.len() {
        keys[at] = complaint(Symptom::ALL[at]);
        at += 1;
    }
    keys
};

static COMPLAINT_KEYS: [&Key; COMPLAINTS.len()] = {
    let mut keys = [&COMPLAINTS[0]; COMPLAINTS.len()];
    let mut at = 0;
    while at < keys.len() {
        keys[at] = &COMPLAINTS[at];
        at += 1;
    }
    keys
};

/// The driver's words for symptoms.
pub(in crate::file) static COMPLAINTS_TABLE: Table = Table {
    keys: &COMPLAINT_KEYS,
    ..complaints::TABLE
};

const fn complaint(symptom: Symptom) -> Key {
    let says = match symptom {
        Symptom::Dead => "Nothing moves in any position, and no motor is heard to run; it may hum.",
        Symptom::BladesStill => "The motor is heard to run, the blades stay where they are.",
        Symptom::NoLow => "LOW does not wipe, HIGH does.",
        Symptom::NoHigh => "HIGH does not wipe, LOW does.",
        Symptom::NoMedium => "A speed between LOW and HIGH does not wipe, both of them do.",
        Symptom::CutsOut => "The blades wipe for a while, then stop by themselves.",
        Symptom::NowAndThen => "The blades wipe at one try and not at another.",
        Symptom::RunsOn => "The blades go on after the switch is off.",
        Symptom::DoesNotPark => "The blades stop wherever they are when the switch is off.",
        Symptom::Slow => "The blades wipe, but slowly.",
        Symptom::TooFast => "The blades wipe faster than they should.",
        Symptom::NoInterval => "At intervals the blades wipe too little, too much or not at all.",
        Symptom::NoWash => "The washer brings too little water, or none.",
        Symptom::OneBladeStill => "One blade stays while the other wipes.",
        Symptom::Streaks => "The blades leave streaks.",
        Symptom::Knocks => "The wipers knock.",
    };
    Key {
        name: symptom.word(),
        holds: Holds::Text,
        needed: Needed::LeftOut("no fault that shows so is drawn"),
        says,
        source: RULE,
    }
}

table! {
    scenario_file: Table::PLAIN, {
        name: "scenario-file",
        head: "a scenario file",
        says: "A scenario: which vehicle comes in, what may be wrong with it, and what its driver says.",
    }
    FORMAT = "format", Holds::Format, Needed::Always, "Version of these files.", RULE;
    SCENARIO = "scenario", Holds::Table(&scenario_table::TABLE), Needed::Always, "The scenario.", RULE;
    DRIVER = "complaints", Holds::Table(&COMPLAINTS_TABLE), Needed::Always, "What the driver says.", RULE;
}
