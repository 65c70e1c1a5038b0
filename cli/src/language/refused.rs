//! What is typed in other workshops and other games, and is no command here: each with what there is instead.

use super::token::Words;
use super::{Language, Problem};

/// Words that begin what is no command here, what to say to it, and commands to offer, in which `{}` stands for
/// what follows the words.
const KNOWN: &[(&[&str], &str, &[&str])] = &[
    (
        &[
            "tap", "knock", "hit", "thump", "rap", "bang", "hammer", "kick",
        ],
        "Nothing here answers to a tap; a part is shaken with the wires on it, felt or listened to.",
        &["wiggle {}", "feel {}", "listen"],
    ),
    (
        &["advice", "stuck"],
        "The technician gives hints for their minutes, and the book has for nothing what can go wrong, what a sound \
         vehicle reads, and how a motor is tried where it is.",
        &[
            "hint where",
            "data failures",
            "data voltages",
            "data in-place tests",
            "readings",
        ],
    ),
    (
        &["reset"],
        "Breakers here close by themselves as they cool; a fuse that has blown is changed.",
        &["wait 2 min", "look {}", "data protection"],
    ),
    (
        &["rev"],
        "The engine runs at one speed here: `engine on`.",
        &["engine on"],
    ),
    (
        &["bench test", "bench"],
        "Nothing is tested on a bench here: a motor is proven where it is, on fused leads.",
        &["data in-place tests", "help jumper"],
    ),
    (
        &["drive", "road", "roadtest"],
        "The vehicle stays in the workshop; its engine runs here.",
        &["engine on"],
    ),
    (
        &["score", "mark", "marks", "points", "solution", "answer"],
        "The mark comes with the hand-over; `data marking` tells how it is made, `give up` shows the fault without one.",
        &["data marking", "hand over", "give up", "readings"],
    ),
    (
        &["wait until", "wait till"],
        "A wait is so long, not until something: `wait 20 s`.",
        &["wait 20 s", "listen", "look"],
    ),
    (
        &["feed", "supply", "energise", "energize"],
        "A part is fed by fused leads: `jumper` and two points, the motor's end first.",
        &["help jumper", "data in-place tests"],
    ),
    (
        &["rotate", "spin"],
        "By hand the arms are moved, and what follows them is watched.",
        &["move left arm", "move right arm", "look linkage"],
    ),
    (
        &["cool", "let"],
        "Parts cool, and breakers close, while time goes by.",
        &["wait 2 min", "wait 10 min"],
    ),
    (
        &[
            "is", "are", "how", "what", "why", "does", "can", "should", "which",
        ],
        "The vehicle answers what is checked: `help` shows the commands, `data` what a sound vehicle does.",
        &["help", "data", "readings"],
    ),
    (
        &["solder", "crimp", "tape", "splice"],
        "How it is mended is left to you: `repair` and the part.",
        &["repair {}"],
    ),
];

impl Language<'_> {
    /// What to say to a command that is known from elsewhere; `None` when it is not.
    pub(super) fn known_elsewhere(words: &Words<'_>, at: usize) -> Option<Problem> {
        let (said, message, offers) = KNOWN.iter().find_map(|(begins, message, offers)| {
            let begin = begins.iter().find(|begin| {
                let parts: Vec<&str> = begin.split(' ').collect();
                words.have(at, &parts)
            })?;
            Some((begin.split(' ').count(), *message, *offers))
        })?;
        let rest = words.typed(at + said..words.len());
        let offers = offers.iter().map(|offer| offer.replace("{}", &rest));
        Some(Problem::at(words, at, message).offering(offers))
    }
}
