//! What is said of each hazard and each piece of advice, in one place: before the act, in the debrief, and in
//! the list of all of them. What raises a hazard and how much it counts is the engine's.

use groundside_engine::marking::Hands;
use groundside_engine::world::{Advice, Gravity, Hazard};
use serde_json::{Value, json};

use crate::style::{Page, Tone, listed};

/// What is said of a hazard.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Caution {
    /// Verbs of the commands that it comes before; none stands for any command.
    commands: &'static [&'static str],
    /// Of those, when.
    when: &'static str,
    /// What is shown before the act.
    pub(crate) text: &'static str,
    /// What going on does to vehicle, meter, leads and hands.
    does: &'static str,
    /// What it was, for the debrief.
    pub(crate) done: &'static str,
}

/// What is said of a piece of advice.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Counsel {
    /// Verbs of the commands that it comes with.
    commands: &'static [&'static str],
    /// Of those, when.
    when: &'static str,
    /// What is shown.
    pub(crate) text: &'static str,
}

/// Commands that put hands on motor or linkage.
const HANDS: &[&str] = &[
    "move", "loosen", "tighten", "feel", "wiggle", "tug", "repair",
];
/// Commands that put hands where the engine is.
const HANDS_AT_ENGINE: &[&str] = &["feel", "wiggle", "tug", "repair", "substitute", "swap back"];

/// What is said of a hazard.
pub(crate) const fn caution(hazard: Hazard) -> Caution {
    match hazard {
        Hazard::HandsInLiveLinkage => Caution {
            commands: HANDS,
            when: "on motor or linkage, and before the arms come off or go on for any command, while the motor has \
                   supply or a lead feeds it",
            text: "CAUTION: the motor has supply. Linkage and arms can start by themselves, as when a breaker \
                   closes again, and pinch or crush a hand. Key off and leads off first; see the vehicle \
                   maker's manual.",
            does: "Crank and links that move meanwhile have caught the hand, which is told with what to do then. \
                   An arm that sweeps tells no hand of its play.",
            done: "hands in a linkage that could start",
        },
        Hazard::HandsAtRunningEngine => Caution {
            commands: HANDS_AT_ENGINE,
            when: "in the place of the engine, while it runs",
            text: "CAUTION: the engine runs. Belts and fan take hands, sleeves and leads. Engine off first.",
            does: "No effect in the model, which has no belts and no fan: the caution is all, and it counts.",
            done: "hands at the running engine",
        },
        Hazard::OhmsOnLiveCircuit => Caution {
            commands: &["ohms", "continuity", "diode"],
            when: "on points that have supply by the diagram as things are set",
            text: "CAUTION: by the diagram there is supply at that point as things are set. On a live circuit an \
                   ohmmeter shows nonsense and may be spoiled. Key off and battery strap off first; never across the \
                   battery itself.",
            does: "The meter takes the circuit's volts for those of its own source, and shows what comes of it.",
            done: "ohmmeter on a live circuit",
        },
        Hazard::AmmeterAcrossSupply => Caution {
            commands: &["amps"],
            when: "where a sound vehicle would drive more than twice the fuse's rating through the meter",
            text: "CAUTION: by the diagram these points have supply and ground between them. An ammeter goes in \
                   series with a load; across a supply its fuse blows.",
            does: "The fuse of the amps range blows; amps read zero until `new fuse`.",
            done: "ammeter across a supply",
        },
        Hazard::ConnectorUnderSupply => Caution {
            commands: &["unplug", "plug"],
            when: "on a connector that has supply",
            text: "CAUTION: this has supply. A plug parted or made under supply sparks and burns its pins. Key off \
                   first, leads off that feed it; what is live from the battery needs the battery strap off.",
            does: "Each pin that carries half an ampere then is burnt: 0.02 ohm more from then on, until mended.",
            done: "plug worked under supply",
        },
        Hazard::BatteryOffWhileCharging => Caution {
            commands: &["unplug", "repair"],
            when: "on the strap that takes the battery off, and on the battery where it comes off, while the engine runs",
            text: "CAUTION: the engine runs, and the battery takes what the alternator gives. With the battery off the \
                   volts shoot up and kill the alternator and whatever electronics are on. Engine off and key off \
                   first.",
            does: "If the battery takes more than 6 A as it comes off, the alternator's diodes are gone: it gives \
                   nothing until it is replaced. Electronics are not in the model.",
            done: "battery off while the engine charged it",
        },
        Hazard::BatteryUnderLoad => Caution {
            commands: &["unplug", "plug", "repair"],
            when: "on the strap that takes the battery off, and on the battery where it comes off, while something that is switched on, or a lead, draws half an \
                   ampere or more by the diagram",
            text: "CAUTION: something is on that draws current. The strap sparks as it comes off the battery or goes \
                   back on, and batteries give off hydrogen, which a spark sets off. Switch everything off first, \
                   engine and leads too; the vehicle maker's manual may ask for more.",
            does: "No effect in the model, in which no battery gives off gas: the caution is all, and it counts.",
            done: "battery strap worked under load",
        },
        Hazard::RepairUnderSupply => Caution {
            commands: &["repair", "substitute", "swap back"],
            when: "on a component that has supply",
            text: "CAUTION: that part has supply. Parts come out with the supply off: key off, and the battery \
                   strap for what is live without the key; how, the vehicle maker's manual says.",
            does: "No effect in the model, in which no spanner slips across a live post: the caution is all, and it \
                   counts.",
            done: "repair under supply",
        },
        Hazard::LiveEndFirst => Caution {
            commands: &["jumper"],
            when: "where the end named first has supply",
            text: "CAUTION: that end is live, and the other would hang about bare and arc on the first metal. The \
                   motor's end goes on first, the battery's last.",
            does: "If that end is live in fact, the lead's fuse blows; the lead carries nothing until `new fuse`.",
            done: "jumper's live end on first",
        },
        Hazard::JumperOntoGround => Caution {
            commands: &["jumper", "set", "helper", "plug"],
            when: "where a sound vehicle would drive more than twice the fuse's rating through the lead then",
            text: "CAUTION: by the diagram that lead joins supply to ground. It sparks and its fuse blows.",
            does: "The lead's fuse blows; the lead carries nothing until `new fuse`.",
            done: "jumper from supply to ground",
        },
        Hazard::JumperOntoPark => Caution {
            commands: &["jumper", "set", "helper", "plug"],
            when: "where it would do so only with the motor at park",
            text: "CAUTION: by the diagram the park contact grounds that terminal while the motor stands at park. \
                   The lead then joins supply to ground and its fuse blows.",
            does: "With the motor at park, or once it comes there, the lead's fuse blows.",
            done: "jumper onto a grounded park contact",
        },
        Hazard::UnprotectedMotor => Caution {
            commands: &[],
            when: "by which leads have fed the motor past its breaker for 2 min or more",
            text: "CAUTION: leads feed the motor and no breaker protects it. If it stalls it burns within \
                   minutes. A few seconds at a time; leads off while you do something else.",
            does: "A winding that stalls on it reaches 200 degrees within minutes: the turns of a coil short, \
                   until the motor is replaced.",
            done: "motor left on a supply without a breaker",
        },
        Hazard::ProbeInContact => Caution {
            commands: &[
                "volts",
                "drop",
                "ohms",
                "continuity",
                "diode",
                "amps",
                "lamp",
                "load",
                "clip",
            ],
            when: "in a terminal of a connector that is apart, once a probe has been in it",
            text: "CAUTION: a probe has been in that open contact before. Once or twice more spreads it, and it \
                   will not hold its pin any more. Measure with the plug mated, from behind, or with a \
                   matching terminal.",
            does: "The third probe spreads the contact: while the motor shakes it, it parts now and then, until \
                   mended.",
            done: "probe in an open contact again",
        },
        Hazard::RefitOutOfPark => Caution {
            commands: &["tighten"],
            when: "on the crank nut that was undone, before the motor has run to park",
            text: "CAUTION: the motor has not run to park since it was last switched on. Done up like this the \
                   blades come to rest elsewhere. Key on and wiper off first, crank free, until it stands.",
            does: "The blades come to rest elsewhere, until the crank is put to its mark with the motor at park.",
            done: "crank refitted out of park",
        },
    }
}

/// What is said of a piece of advice.
pub(crate) const fn counsel(advice: Advice) -> Counsel {
    match advice {
        Advice::JumperLead => Counsel {
            commands: &["jumper"],
            when: "always",
            text: "Bear in mind: a lead past the breaker leaves the motor unprotected. The motor's end first, the \
                   battery's last, a few seconds at a time; fuse no larger than the maker's manual says.",
        },
        Advice::BatteryGas => Counsel {
            commands: &["battery test"],
            when: "always",
            text: "Bear in mind: batteries give off hydrogen, which a spark sets off. Eye protection, no flame. \
                   Clips on first, the load switched on last; load off before a clip comes off. Under load leads \
                   and clamps get hot: ten seconds, no longer. Local rules first.",
        },
        Advice::LiftedArm => Counsel {
            commands: &["move"],
            when: "always",
            text: "Bear in mind: a lifted arm that snaps back cracks the glass. Hold it, and lay something soft \
                   under it.",
        },
        Advice::HandOnMovingArm => Counsel {
            commands: &["assist"],
            when: "always",
            text: "Bear in mind: hand on the arm only, well clear of pivots and links, and let go when it \
                   reverses.",
        },
        Advice::StalledMotor => Counsel {
            commands: &["hold"],
            when: "always",
            text: "Bear in mind: hold the arm where it bends to the blade, clear of pivots and links. A motor that \
                   is held gets hot: once, and time to cool before the next. What has opened closes again by itself.",
        },
        Advice::HotMotor => Counsel {
            commands: &["feel"],
            when: "on the motor",
            text: "Bear in mind: a motor that has stalled can burn a hand. The back of the hand first.",
        },
        Advice::AmmeterBesideCircuit => Counsel {
            commands: &["amps"],
            when: "between points that a sound vehicle joins as things are set",
            text: "Bear in mind: by the diagram the circuit is closed between these points. The current divides \
                   between it and the meter, which shows a part. An ammeter goes in where the circuit is opened.",
        },
        Advice::HotLamp => Counsel {
            commands: &["load"],
            when: "always",
            text: "Bear in mind: the load lamp draws some 5 A. Within a minute bulb, leads and clips are too hot to \
                   touch: hold it by its socket, clear of trim and hoses, and off as soon as it is read. It \
                   sparks as it goes on: the last clip away from the battery, which gives off hydrogen.",
        },
        Advice::ColdGlass => Counsel {
            commands: &["wet"],
            when: "always",
            text: "Bear in mind: cold water only, and none of it on ice, where it freezes. Hot water on cold glass \
                   cracks it. Ice comes off with a scraper, de-icer or the blower.",
        },
        Advice::BesideLinkage => Counsel {
            commands: &[
                "volts", "drop", "clamp", "trace", "clip", "look", "smell", "feel", "wiggle",
                "tug", "unplug", "plug", "remove", "fit",
            ],
            when: "behind the cover that motor and linkage lie behind, while the motor has supply",
            text: "Bear in mind: crank and links move there, or start by themselves. Keep fingers, sleeves and leads \
                   clear of their way, clip leads on with the key off where that serves, and have the key off before \
                   a hand goes in.",
        },
    }
}

/// What advice does when one goes on, which is what it is for.
const FOLLOWED: &str = "Nothing: the work is right to do, and is told of once an attempt.";

/// What a hazard was, for the debrief.
pub(crate) fn hazards_done(hazards: &[Hazard], hands: Hands) -> String {
    let words = hazards.iter().map(|&hazard| match (hazard, hands) {
        (Hazard::HandsInLiveLinkage, Hands::Caught) => "hands caught in a linkage that moved",
        (Hazard::HandsInLiveLinkage, Hands::LikelyCaught) => {
            "hands in a linkage that was as likely as not to move, which counts as caught"
        }
        _ => caution(hazard).done,
    });
    let words: Vec<&str> = words.collect();
    listed(&words, "and")
}

/// How much going on counts, in a word.
const fn weight(gravity: Gravity) -> &'static str {
    match gravity {
        Gravity::Minor => "minor",
        Gravity::Major => "major",
    }
}

/// `repair, substitute: when`.
fn place(commands: &[&str], when: &str) -> String {
    match commands {
        [] => format!("any command {when}"),
        _ => format!("{}: {when}", commands.join(", ")),
    }
}

/// All hazards and all advice: what each is said before, in which words, and what going on does.
pub(crate) fn list() -> Page {
    let mut page = Page::default();
    let mut row = |head: String, lines: [String; 3]| {
        page.add(Tone::Strong, head);
        for line in lines {
            page.hanging(Tone::Plain, format!("  {line}"), "    ");
        }
    };
    for hazard in Hazard::ALL {
        let said = caution(hazard);
        row(
            format!("{}, {}", hazard.word(), weight(hazard.gravity())),
            [
                format!("Before {}.", place(said.commands, said.when)),
                said.text.to_owned(),
                format!("Going on: {}", said.does),
            ],
        );
    }
    for advice in Advice::ALL {
        let said = counsel(advice);
        row(
            format!("{}, advice", advice.word()),
            [
                format!("With {}.", place(said.commands, said.when)),
                said.text.to_owned(),
                format!("Going on: {FOLLOWED}"),
            ],
        );
    }
    page.add(
        Tone::Quiet,
        "A caution comes before the act; stepping back costs nothing, going on counts. Advice comes with \
         the reply and counts for nothing. All of it hangs on what was set and opened, never on what is wrong.",
    );
    page
}

/// The same as JSON.
pub(crate) fn list_json() -> Value {
    let hazards = Hazard::ALL.into_iter().map(|hazard| {
        let said = caution(hazard);
        json!({
            "word": hazard.word(), "gravity": weight(hazard.gravity()), "text": said.text,
            "commands": said.commands, "when": said.when, "going_on": said.does,
        })
    });
    let advice = Advice::ALL.into_iter().map(|advice| {
        let said = counsel(advice);
        json!({
            "word": advice.word(), "gravity": "advice", "text": said.text,
            "commands": said.commands, "when": said.when, "going_on": FOLLOWED,
        })
    });
    hazards.chain(advice).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::language::verbs;

    #[test]
    fn commands_are_verbs_of_the_language() {
        let known: Vec<&str> = verbs().iter().map(|verb| verb.word).collect();
        let of_hazards = Hazard::ALL.map(|hazard| caution(hazard).commands);
        let of_advice = Advice::ALL.map(|advice| counsel(advice).commands);
        for word in of_hazards.into_iter().chain(of_advice).flatten() {
            assert!(known.contains(word), "{word}");
        }
    }
}
