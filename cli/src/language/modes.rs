//! How failures are put in words, besides their own names.

use super::names::{Rank, is_short_for, split};
use super::words::is_filler;

/// Other words for words of failure modes, each with how much worse it fits. A word may stand for several.
const WORDS: &[(&str, &str, Rank)] = &[
    ("shorted", "short", 0),
    ("shorting", "short", 0),
    ("short", "shorted", 0),
    ("chafed", "short", 0),
    ("rubbed", "short", 0),
    ("grounded", "ground", 0),
    ("earthed", "ground", 0),
    ("earth", "ground", 0),
    ("body", "ground", 0),
    ("chassis", "ground", 0),
    ("broken", "open", 0),
    ("break", "open", 0),
    ("interrupted", "open", 0),
    ("cut", "open", 0),
    ("snapped", "open", 0),
    ("melted", "open", 1),
    ("dead", "open", 1),
    ("blown", "open", 1),
    ("tripped", "open", 1),
    ("burnt", "coil", 0),
    ("burnt", "open", 1),
    ("burnt", "resistance", 1),
    ("burned", "coil", 0),
    ("burned", "open", 1),
    ("burned", "resistance", 1),
    ("burnt", "shorted", 1),
    ("burned", "shorted", 1),
    ("winding", "field", 0),
    ("trips", "weak", 0),
    ("resistive", "resistance", 0),
    ("ohms", "resistance", 0),
    ("corroded", "resistance", 0),
    ("corrosion", "resistance", 0),
    ("rusty", "resistance", 0),
    ("rusted", "resistance", 0),
    ("dirty", "resistance", 0),
    ("oxidised", "resistance", 0),
    ("oxidized", "resistance", 0),
    ("poor", "resistance", 0),
    ("slack", "loose", 0),
    ("spread", "loose", 0),
    ("slips", "loose", 0),
    ("slipping", "loose", 0),
    ("intermittent", "loose", 1),
    ("intermittent", "inside", 1),
    ("intermittent", "warm", 1),
    ("hi", "high", 0),
    ("lo", "low", 0),
    ("third", "high", 0),
    ("binding", "stiff", 0),
    ("tight", "stiff", 0),
    ("rusty", "stiff", 0),
    ("rusted", "seized", 0),
    ("stuck", "seized", 1),
    ("stuck", "welded", 1),
    ("sticking", "stuck", 0),
    ("sticking", "welded", 1),
    ("sticking", "stiff", 1),
    ("sticks", "stuck", 0),
    ("sticks", "welded", 1),
    ("jammed", "stuck", 0),
    ("jammed", "seized", 0),
    ("welded", "stuck", 1),
    ("brushes", "brush", 0),
    ("bearings", "bearing", 0),
    ("bush", "bearing", 1),
    ("winding", "coil", 0),
    ("armature", "coil", 0),
    ("demagnetised", "magnets", 0),
    ("demagnetized", "magnets", 0),
    ("magnet", "magnets", 0),
    ("tired", "weak", 0),
    ("worn", "weak", 1),
    ("weak", "worn", 1),
    ("clogged", "blocked", 0),
    ("leaking", "leaks", 0),
    ("split", "leaks", 0),
    ("backwards", "wrong", 0),
];

/// More of them, of several vehicles' own parts.
const OWN: &[(&str, &str, Rank)] = &[
    ("positive", "pos", 0),
    ("plus", "pos", 0),
    ("negative", "neg", 0),
    ("minus", "neg", 0),
    ("post", "pos", 1),
    ("post", "neg", 1),
    ("clamp", "pos", 1),
    ("clamp", "neg", 1),
    ("reversed", "wrong", 0),
    ("swapped", "crossed", 0),
    ("mixed", "crossed", 0),
    ("undersized", "small", 0),
    ("oversized", "large", 0),
    ("wrong", "small", 0),
    ("wrong", "large", 0),
    ("big", "large", 0),
    ("rating", "small", 0),
    ("rating", "large", 0),
    ("hot", "warm", 0),
    ("water", "wet", 0),
    ("toothless", "stripped", 0),
    ("teeth", "stripped", 0),
    ("unlubricated", "dry", 0),
    ("greaseless", "dry", 0),
    ("welded", "closed", 1),
    ("inside", "broken", 1),
    ("rheostat", "slider", 0),
    ("wiper", "slider", 1),
    ("touching", "bridged", 0),
    ("touch", "bridged", 0),
    ("shorted", "bridged", 1),
    ("rubbed", "chafed", 0),
    ("bare", "chafed", 0),
    ("frayed", "chafed", 0),
    ("insulation", "chafed", 1),
    ("backed", "pushed", 0),
    ("unseated", "pushed", 0),
    ("recessed", "pushed", 0),
    ("painted", "paint", 0),
    ("serrations", "splines", 0),
    ("spline", "splines", 0),
    ("rounded", "stripped", 0),
    ("weak", "tired", 0),
    ("soft", "tired", 0),
    ("stretched", "tired", 0),
    ("misaligned", "mark", 0),
    ("mistimed", "mark", 0),
    ("detached", "off", 0),
    ("disconnected", "off", 0),
    ("backlash", "play", 0),
    ("slop", "play", 0),
    ("sloppy", "play", 0),
    ("sloppy", "loose", 0),
    ("worn", "play", 1),
    ("worn", "loose", 1),
    ("moved", "shifted", 0),
    ("slipped", "shifted", 0),
    ("turned", "shifted", 0),
    ("twisted", "bent", 0),
    ("crooked", "bent", 0),
    ("incorrect", "wrong", 0),
    ("sulfated", "sulphated", 0),
    ("delay", "timer", 0),
    ("quick", "fast", 0),
    ("frozen", "blocked", 0),
    ("kinked", "blocked", 0),
    ("pinched", "blocked", 0),
    ("perished", "leaks", 0),
    ("damp", "wet", 0),
    ("heat", "warm", 0),
    ("ripped", "torn", 0),
    ("split", "torn", 0),
    ("perished", "torn", 0),
    ("flapping", "torn", 1),
    ("blade", "rubber", 1),
];

/// Two words that stand for one.
const PHRASES: [(&str, &str, &str); 26] = [
    ("stuck", "open", "open"),
    ("gone", "open", "open"),
    ("no", "contact", "open"),
    ("no", "continuity", "open"),
    ("bad", "contact", "resistance"),
    ("poor", "contact", "resistance"),
    ("loose", "contact", "loose"),
    ("bad", "connection", "resistance"),
    ("poor", "connection", "resistance"),
    ("loose", "connection", "loose"),
    ("voltage", "drop", "resistance"),
    ("volt", "drop", "resistance"),
    ("worn", "out", "worn"),
    ("worn", "through", "short"),
    ("rubbed", "through", "short"),
    ("burnt", "out", "burnt"),
    ("burned", "out", "burnt"),
    ("seized", "up", "seized"),
    ("come", "off", "off"),
    ("came", "off", "off"),
    ("popped", "off", "off"),
    ("fallen", "off", "off"),
    ("wrong", "position", "mark"),
    ("wrong", "place", "mark"),
    ("wrong", "spline", "mark"),
    ("wrong", "angle", "mark"),
];

/// Words that say nothing in a failure mode.
const NOUNS: &[&str] = &[
    "in",
    "with",
    "gets",
    "getting",
    "was",
    "there",
    "early",
    "spot",
    "step",
    "position",
    "wires",
    "cable",
    "lead",
    "shut",
    "somewhere",
    "plug",
    "circuit",
    "is",
    "are",
    "fault",
    "faulty",
    "failed",
    "has",
    "contact",
    "contacts",
    "a",
    "an",
    "terminal",
    "pin",
    "out",
    "up",
    "too",
    "gone",
    "goes",
    "when",
    "over",
    "wire",
    "its",
    "it",
    "speed",
];

/// How well some of the words of a failure mode name it.
pub(super) const SOME: Rank = 3;

/// How well words name a failure mode, in any order; `None` when they do not.
pub(super) fn fit_mode(typed: &[&str], name: &str) -> Option<Rank> {
    let typed = told(typed);
    let whole = split(name);
    let mut parts = whole.clone();
    let (mut rank, mut worse) = (0, 0);
    let mut any = false;
    for word in &typed {
        let exact = |word: &str| parts.iter().position(|part| part == word);
        let found = exact(word).map(|n| (n, 0));
        let meant = || WORDS.iter().chain(OWN).filter(|(known, ..)| known == word);
        let other = || {
            let found = meant().filter_map(|(_, meant, worse)| Some((exact(meant)?, *worse)));
            found.min_by_key(|(_, worse)| *worse)
        };
        let short = || {
            let short = parts.iter().position(|part| is_short_for(word, part));
            short.map(|n| (n, 2))
        };
        match found.or_else(other).or_else(short) {
            Some((n, by)) => {
                parts.remove(n);
                rank = rank.max(by);
                worse = worse.max(if by == 1 { 1 } else { 0 });
                any = true;
            }
            None if NOUNS.contains(word) => {}
            // `armature winding`: said once more.
            None if meant().any(|(_, meant, _)| whole.iter().any(|part| part == meant)) => {}
            None => return None,
        }
    }
    if !any {
        return None;
    }
    // A resistance that is told of as a fault is a high one.
    if parts.iter().eq(["high"].iter()) && whole.iter().any(|part| part == "resistance") {
        parts.clear();
    }
    Some(if parts.is_empty() { rank } else { SOME + worse })
}

/// The words with small ones left out and two that stand for one put into it.
fn told<'w>(typed: &[&'w str]) -> Vec<&'w str> {
    let mut told: Vec<&'w str> = Vec::new();
    for word in typed.iter().filter(|word| !is_filler(word)) {
        let phrase = told.last().and_then(|last| {
            let mut known = PHRASES.iter();
            known.find(|(first, second, _)| first == last && second == word)
        });
        match phrase {
            Some((_, _, one)) => {
                told.pop();
                told.push(one);
            }
            None => told.push(word),
        }
    }
    told
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fits(typed: &str, name: &str) -> Option<Rank> {
        fit_mode(&typed.split(' ').collect::<Vec<_>>(), name)
    }

    #[test]
    fn failures_are_told_in_other_words() {
        for (typed, name) in [
            ("dry bearing", "bearing-dry"),
            ("worn out low brush", "low-brush-worn"),
            ("short circuit to earth", "short-to-ground"),
            ("stuck open", "open"),
            ("coil burnt out", "coil-open"),
            ("contact welded shut", "87-welded"),
            ("armature winding shorted", "coil-shorted"),
            ("53 and 53b touching", "53-53b-bridged"),
            ("insulation rubbed", "chafed"),
            ("53 backed out", "53-pushed-out"),
            ("painted", "paint-under"),
            ("serrations stripped", "splines-stripped"),
            ("weak spring", "spring-tired"),
            ("misaligned", "off-its-mark"),
            ("on the wrong spline", "off-its-mark"),
            ("popped off", "link-off"),
            ("backlash", "play"),
            ("cam slipped", "cam-shifted"),
            ("twisted", "bent"),
            ("frozen", "blocked"),
        ] {
            assert!(fits(typed, name).is_some(), "{typed}");
        }
    }

    #[test]
    fn what_fits_worse_counts_less() {
        let coil = fits("burnt out", "coil-open");
        assert!(coil.is_some() && coil < fits("burnt out", "low-brush-open"));
        assert_eq!(fits("open", "open"), Some(0));
        assert_eq!(fits("open", "53-open"), Some(3));
        assert_eq!(fits("is the", "open"), None);
    }
}
