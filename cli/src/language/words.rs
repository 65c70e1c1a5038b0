//! The vocabulary besides the verbs, as data: other words for things, and the small words that carry no
//! meaning.
//!
//! "a" is no filler: it is short for amps. "on" is one, but also a position of controls, so fillers are
//! passed over where a name may begin and never struck out beforehand.

/// Short forms of control words, for vehicles that have a control of that name.
pub(super) const CONTROL_SHORTS: [(&str, &str); 3] =
    [("k", "key"), ("w", "wiper"), ("wipers", "wiper")];

/// Words passed over where a name may begin or end.
const FILLERS: [&str; 13] = [
    "the", "to", "on", "at", "please", "and", "of", "for", "from", "between", "across", "my", "now",
];

/// Whether a word says nothing where a name may begin.
pub(super) fn is_filler(word: &str) -> bool {
    FILLERS.contains(&word)
}

/// Words that say nothing before a verb.
pub(super) const POLITE: [&str; 16] = [
    "please", "now", "then", "and", "just", "next", "ok", "i", "ill", "lets", "we", "me", "show",
    "use", "the", "my",
];

/// Verbs that only lead in to another: `read ammeter`, `measure drop ...`.
pub(super) const LEAD_IN: [&str; 7] = ["read", "measure", "check", "take", "do", "get", "test"];

/// Words that would be short for a verb but are common words of their own: asked about, never taken,
/// as what they are not meant for takes time or ends the attempt. Each with what it may stand for.
pub(super) const COMMON_WORDS: [(&str, &[&str]); 17] = [
    ("check", &["volts", "ohms", "look", "feel"]),
    ("measure", &["volts", "ohms", "amps", "drop"]),
    ("list", &["listen", "readings", "help"]),
    ("ass", &["assist"]),
    ("clam", &["clamp"]),
    ("disc", &["disconnect"]),
    ("exam", &["examine"]),
    ("fee", &["feel"]),
    ("give", &["give up"]),
    ("got", &["goto"]),
    ("hand", &["hand over"]),
    ("loose", &["loosen"]),
    ("men", &["mend"]),
    ("not", &["note"]),
    ("pus", &["push"]),
    ("slack", &["slacken"]),
    ("tight", &["tighten"]),
];

/// Topics of the workshop's book that every vehicle has; its file may add others.
pub const TOPICS: [&str; 14] = [
    "speeds and currents",
    "voltages",
    "winding",
    "protection",
    "wires",
    "terminals",
    "in-place tests",
    "repairs and prices",
    "failures",
    "symptoms",
    "meter",
    "places and minutes",
    "history of this vehicle",
    "marking",
];

/// Words for the loom side of a connector.
pub(super) const HARNESS: [&str; 2] = ["harness", "loom"];

/// Nouns that may stand around a terminal's name.
pub(super) const TERMINAL_NOUNS: [&str; 4] = ["terminal", "pin", "post", "clamp"];

/// Words for a terminal's name; the names themselves always match only exactly.
pub(super) const TERMINAL_WORDS: [(&str, &str); 7] = [
    ("pole", "post"),
    ("+", "pos"),
    ("plus", "pos"),
    ("positive", "pos"),
    ("-", "neg"),
    ("minus", "neg"),
    ("negative", "neg"),
];

/// What a point is called besides its component and terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum PointAlias {
    /// The battery's terminal of this name.
    Battery(&'static str),
    /// The body metal.
    Body,
    /// The motor's terminal 31, which is its case.
    Case,
}

/// Other words for points.
pub(super) const POINT_WORDS: [(&[&str], PointAlias); 10] = [
    (&["ground"], PointAlias::Battery("neg")),
    (&["earth"], PointAlias::Battery("neg")),
    (&["gnd"], PointAlias::Battery("neg")),
    (&["b", "-"], PointAlias::Battery("neg")),
    (&["b", "+"], PointAlias::Battery("pos")),
    (&["body"], PointAlias::Body),
    (&["chassis"], PointAlias::Body),
    (&["case"], PointAlias::Case),
    (&["motor", "case"], PointAlias::Case),
    (&["motor", "housing"], PointAlias::Case),
];

/// Other words for positions of controls, used where the control has the position.
pub(super) const POSITION_WORDS: [(&str, &str); 14] = [
    ("interm", "interval"),
    ("park", "off"),
    ("slow", "low"),
    ("lo", "low"),
    ("fast", "high"),
    ("hi", "high"),
    ("accessory", "acc"),
    ("run", "on"),
    ("medium", "med"),
    ("intermittent", "interval"),
    ("intermittently", "interval"),
    ("2", "two"),
    ("3", "three"),
    ("4", "four"),
];

/// Words for the middle of the glass.
pub(super) const MID_GLASS: [&str; 6] = ["mid", "middle", "midglass", "halfway", "midway", "half"];

/// Nouns that may stand around a control or its position.
pub(super) const CONTROL_NOUNS: [&str; 14] = [
    "back", "up", "down", "in", "position", "speed", "switch", "control", "while", "glass",
    "screen", "way", "stroke", "them",
];

/// How symptoms are put in words, besides their own.
pub(super) const SYMPTOM_WORDS: [(&str, &str); 49] = [
    ("low is slow", "slow"),
    ("high is slow", "slow"),
    ("slow in low", "slow"),
    ("slow in high", "slow"),
    ("low slow", "slow"),
    ("high slow", "slow"),
    ("nothing", "dead"),
    ("nothing works", "dead"),
    ("nothing happens", "dead"),
    ("does nothing", "dead"),
    ("blades do not move", "blades-still"),
    ("motor runs blades still", "blades-still"),
    ("motor runs blades do not", "blades-still"),
    ("low dead", "no-low"),
    ("low does not work", "no-low"),
    ("high dead", "no-high"),
    ("high does not work", "no-high"),
    ("intermittent", "now-and-then"),
    ("comes and goes", "now-and-then"),
    ("stops by itself", "cuts-out"),
    ("stops after while", "cuts-out"),
    ("does not stop", "runs-on"),
    ("will not stop", "runs-on"),
    ("wont stop", "runs-on"),
    ("keeps going", "runs-on"),
    ("does not switch off", "runs-on"),
    ("no park", "does-not-park"),
    ("not parking", "does-not-park"),
    ("wont park", "does-not-park"),
    ("doesnt park", "does-not-park"),
    ("will not park", "does-not-park"),
    ("too slow", "slow"),
    ("fast", "too-fast"),
    ("races", "too-fast"),
    ("medium dead", "no-medium"),
    ("medium does not work", "no-medium"),
    ("no med", "no-medium"),
    ("interval dead", "no-interval"),
    ("interval does not work", "no-interval"),
    ("no intermittent", "no-interval"),
    ("no water", "no-wash"),
    ("washer dead", "no-wash"),
    ("washer does not work", "no-wash"),
    ("only one blade wipes", "one-blade-still"),
    ("one wiper stays", "one-blade-still"),
    ("smears", "streaks"),
    ("does not wipe clean", "streaks"),
    ("knocking", "knocks"),
    ("rattles", "knocks"),
];

/// Words for places and covers, besides their names and titles: each with what one of those begins with.
const PLACE_WORDS: [(&str, &str); 6] = [
    ("engine bay", "bonnet"),
    ("hood", "bonnet"),
    ("outside", "windscreen"),
    ("out", "windscreen"),
    ("fuse box", "relay-box"),
    ("fuse box", "box-lid"),
];

/// Other words for a place or cover of this id.
pub(super) fn place_words(id: &str) -> impl Iterator<Item = &'static str> {
    let known = PLACE_WORDS
        .iter()
        .filter(move |(_, name)| id.starts_with(name));
    known.map(|(word, _)| *word)
}

/// What the wiper switch is worked by, alone.
pub(super) const LEVERS: [&str; 4] = ["lever", "stalk", "wiper lever", "wiper stalk"];

/// Words for a whole vehicle, which is started by its engine.
pub(super) const VEHICLES: [&str; 5] = ["car", "vehicle", "van", "bus", "saloon"];

/// Words for the glass.
pub(super) const GLASS: [&str; 4] = ["glass", "screen", "windshield", "window"];

/// Words that say what was done to a component, around it in a write-up.
pub(super) const DONE_WORDS: [&str; 39] = [
    "repair",
    "replace",
    "renew",
    "mend",
    "clean",
    "free",
    "fit",
    "change",
    "grease",
    "mended",
    "replaced",
    "repaired",
    "fixed",
    "renewed",
    "cleaned",
    "freed",
    "new",
    "fitted",
    "installed",
    "tightened",
    "changed",
    "swapped",
    "greased",
    "oiled",
    "charged",
    "cleared",
    "made",
    "good",
    "put",
    "in",
    "was",
    "were",
    "is",
    "has",
    "been",
    "a",
    "an",
    "up",
    "i",
];

/// Words that say yes or no to a question.
pub(super) const ANSWERS: [&str; 6] = ["n", "no", "nope", "y", "yes", "yep"];

/// Words for any ground there is, straps among them.
pub(super) const EARTHS: [&str; 8] = [
    "ground",
    "grounds",
    "earth",
    "earths",
    "grounding",
    "earthing",
    "connection",
    "connections",
];
