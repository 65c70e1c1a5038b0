//! What is asked before an action: the way there, a price, and what can hurt. All of it is known from
//! what the person has set and opened, so it is the same whatever is wrong with the vehicle.

use groundside_engine::quantity::Minutes;
use groundside_engine::vehicle::{ComponentId, Vehicle};
use groundside_engine::world::{Action, Advice, Bench, Hazard, Permitted};

use crate::talk::Question;

/// What has to be asked before an action, if anything.
pub(crate) fn before(
    permitted: &Permitted,
    bench: &Bench,
    vehicle: &Vehicle,
) -> Option<(String, Question)> {
    let mut parts = Vec::new();
    let hazards = permitted.hazards();
    if !hazards.is_empty() {
        parts.push(cautions(hazards));
    }
    if let Action::Repair { component, way } = permitted.action() {
        parts.push(format!("{}.", offer(*component, *way, vehicle)));
    }
    // Going somewhere is asked for by its own words.
    let going = matches!(permitted.action(), Action::Go(_));
    if permitted.cost().access > Minutes::ZERO && !going {
        parts.push(format!("{}.", way(permitted, bench, vehicle)));
    }
    if parts.is_empty() {
        return None;
    }
    let text = parts.join(" ");
    Some(if hazards.is_empty() {
        let text = text.trim_end_matches('.');
        (format!("{text}: go on? (y)"), Question::Minutes)
    } else {
        let text = format!("{text}\nDo it all the same? (y/n)");
        (text, Question::Danger)
    })
}

/// What reaching the work takes, as a question: places, covers, meter, each with its minutes.
fn way(permitted: &Permitted, bench: &Bench, vehicle: &Vehicle) -> String {
    let layout = &vehicle.layout;
    let mut parts = Vec::new();
    let mut walked = permitted.cost().access;
    let mut others = Vec::new();
    for cover in permitted.covers() {
        let cover = &layout.covers[cover.index()];
        walked = walked.less(cover.off);
        others.push(format!("{} off {} min", cover.title, cover.off));
    }
    if permitted.takes_meter() {
        walked = walked.less(layout.charges.meter_out);
        others.push(format!("meter out {} min", layout.charges.meter_out));
    }
    if walked.hundredths() > 0 {
        let from = &layout.places[bench.place.index()].title;
        let to = permitted
            .place()
            .map_or(from, |place| &layout.places[place.index()].title);
        parts.push(format!("{from} to {to} {walked} min"));
    }
    parts.extend(others);
    parts.join(", ")
}

/// A repair as it is offered: parts, price, minutes.
fn offer(component: ComponentId, way: usize, vehicle: &Vehicle) -> String {
    let component = vehicle.component(component);
    let repair = &component.repairs[way];
    let price = if repair.price == 0 {
        "no parts".to_owned()
    } else {
        format!("parts {}", repair.price)
    };
    format!(
        "{}, {}: {price}, {} min of work",
        component.title, repair.name, repair.labour
    )
}

/// What to bear in mind before something that can hurt.
fn cautions(hazards: &[Hazard]) -> String {
    let words: Vec<&str> = hazards.iter().map(|&hazard| caution(hazard)).collect();
    words.join(" ")
}

/// What to bear in mind at work that is right to do.
pub(crate) const fn advised(advice: Advice) -> &'static str {
    match advice {
        Advice::JumperLead => {
            "Bear in mind: a lead past the breaker leaves the motor unprotected. The motor's end first, the \
             battery's last, a few seconds at a time; fuse no larger than the maker's manual says."
        }
        Advice::BatteryGas => {
            "Bear in mind: batteries gas. Eye protection, no flame, and the tester switched before its clips \
             are moved; local rules first."
        }
        Advice::LiftedArm => {
            "Bear in mind: a lifted arm that snaps back cracks the glass. Hold it, and lay something soft \
             under it."
        }
        Advice::HandOnMovingArm => {
            "Bear in mind: hand on the arm only, well clear of pivots and links, and let go when it reverses."
        }
        Advice::HotMotor => {
            "Bear in mind: a motor that has stalled can burn a hand. The back of the hand first."
        }
    }
}

pub(crate) const fn caution(hazard: Hazard) -> &'static str {
    match hazard {
        Hazard::HandsInLiveLinkage => {
            "CAUTION: the motor has supply. Linkage and arms can start by themselves, as when a breaker \
             closes again, and crush a hand. Key off and leads off first; see the vehicle maker's manual."
        }
        Hazard::OhmsOnLiveCircuit => {
            "CAUTION: by the diagram there is supply at that point as things are set. On a live circuit an \
             ohmmeter shows nonsense and may be spoiled. Key off and battery strap off first."
        }
        Hazard::HandsAtRunningEngine => {
            "CAUTION: the engine runs. Belts and fan take hands, sleeves and leads. Engine off first."
        }
        Hazard::AmmeterAcrossSupply => {
            "CAUTION: by the diagram these points have supply and ground between them. An ammeter goes in \
             series with a load; across a supply its fuse blows."
        }
        Hazard::LiveEndFirst => {
            "CAUTION: that end is live, and the other would hang about bare and arc on the first metal. The \
             motor's end goes on first, the battery's last."
        }
        Hazard::JumperOntoGround => {
            "CAUTION: by the diagram that lead joins supply to ground. It sparks and its fuse blows."
        }
        Hazard::JumperOntoPark => {
            "CAUTION: by the diagram the park contact grounds that terminal while the motor stands at park. \
             The lead then joins supply to ground and its fuse blows."
        }
        Hazard::UnprotectedMotor => {
            "CAUTION: leads feed the motor and no breaker protects it. If it stalls it burns within minutes. \
             A few seconds at a time; leads off while you do something else."
        }
        Hazard::ProbeInContact => {
            "CAUTION: a probe has been in that open contact before. Once more spreads it, and it will not \
             hold its pin any more. Measure with the plug mated, from behind, or with a matching terminal."
        }
        Hazard::RefitOutOfPark => {
            "CAUTION: the motor has not run to park since it was last switched on. Done up like this the \
             wipe is out of place. Key on and wiper off first, crank free, until it stands."
        }
        Hazard::ConnectorUnderSupply => {
            "CAUTION: the key is on. A plug parted or made under supply sparks and burns its pins. Key off \
             first."
        }
        Hazard::RepairUnderSupply => {
            "CAUTION: the key is on. Parts come out with the supply off; how, the vehicle maker's manual \
             says."
        }
    }
}
