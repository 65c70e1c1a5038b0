//! What is asked before an action: the way there, a price, and what can hurt. All of it is known from
//! what the person has set and opened, so it is the same whatever is wrong with the vehicle.

use groundside_engine::quantity::Minutes;
use groundside_engine::vehicle::{ComponentId, PlaceId, Vehicle};
use groundside_engine::world::{Action, Bench, Hazard, Permitted};

use super::cautions::caution;
use crate::style::{named, sentence};
use crate::talk::Question;

/// What has to be asked before an action, if anything.
pub(crate) fn before(
    permitted: &Permitted,
    bench: &Bench,
    vehicle: &Vehicle,
) -> Option<(String, Question)> {
    let mut parts = Vec::new();
    let hazards = permitted.hazards();
    if let Action::Repair { component, way } = permitted.action() {
        let offer = offer(*component, *way, vehicle);
        let again = again(*component, *way, bench, vehicle);
        let words = again.map_or_else(|| offer.clone(), |again| format!("{again}: {offer}"));
        parts.push(format!("{words}."));
    }
    // Going somewhere is asked for by its own words.
    let going = matches!(permitted.action(), Action::Go(_));
    if permitted.cost().access > Minutes::ZERO && !going {
        parts.push(format!("{}.", way(permitted, bench, vehicle)));
    }
    if parts.is_empty() && hazards.is_empty() {
        return None;
    }
    let text = parts.join(" ");
    Some(if hazards.is_empty() {
        let text = text.trim_end_matches('.');
        (format!("{text}: go on? (y)"), Question::Minutes)
    } else {
        // What can hurt stands alone, and what it takes on a line of its own.
        let parts = parts.iter().map(|part| sentence(part));
        let parts: Vec<String> = std::iter::once(cautions(hazards)).chain(parts).collect();
        let text = format!("{}\nDo it all the same? (y/n)", parts.join("\n"));
        (text, Question::Danger)
    })
}

/// That a part was put right so already, or is a new one; `None` where neither is so.
fn again(component: ComponentId, way: usize, bench: &Bench, vehicle: &Vehicle) -> Option<String> {
    let part = vehicle.component(component);
    let name = |way: usize| part.repairs[way].name.as_str();
    let mut before = bench.repairs.iter().filter(|(id, _)| *id == component);
    let renewed = before.any(|(_, done)| *done == way || name(*done) == "replace");
    let talks = vehicle.explains(component, way);
    (renewed && !talks).then(|| match name(way) {
        "replace" => format!("{} has been replaced already; another", part.id),
        _ => format!("{} has been seen to already; once more", part.id),
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
        let note = cover.title.strip_prefix(named(&cover.title));
        let note = note.unwrap_or_default();
        let name = named(&cover.title);
        others.push(format!("{name} off {} min{note}", cover.off));
    }
    if permitted.takes_meter() {
        walked = walked.less(layout.charges.meter_out);
        others.push(format!("meter out {} min", layout.charges.meter_out));
    }
    if walked.hundredths() > 0 {
        let title = |place: PlaceId| layout.places[place.index()].title.as_str();
        let from = title(bench.place);
        // One end elsewhere and the other here: there and back again.
        let to = match permitted.place() {
            Some(place) => title(place).to_owned(),
            None => match elsewhere(permitted.action(), bench, vehicle) {
                Some(place) => format!("{} and back", title(place)),
                None => "the other end and back".to_owned(),
            },
        };
        parts.push(format!("{from} to {to} {walked} min"));
    }
    parts.extend(others);
    parts.join(", ")
}

/// The place of an end of leads that is not where the person is.
fn elsewhere(action: &Action, bench: &Bench, vehicle: &Vehicle) -> Option<PlaceId> {
    let (Action::Jumper { first, second }
    | Action::Clip {
        red: first,
        black: second,
    }
    | Action::Measure {
        red: first,
        black: second,
        ..
    }) = action
    else {
        return None;
    };
    let places = [first, second].map(|at| vehicle.component(at.component).place);
    places.into_iter().find(|&place| place != bench.place)
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
    let texts = hazards.iter().map(|&hazard| caution(hazard).text);
    let words: Vec<&str> = texts.collect();
    words.join(" ")
}
