//! What was done, of an action that observes nothing.

use groundside_engine::vehicle::{ComponentId, Vehicle};
use groundside_engine::world::Action;

use super::hint;
use crate::style::{is_or_are, named, sentence};

/// `Switch panel is`, `Arms and cowl screen are`.
fn lies(title: &str) -> String {
    let name = named(title);
    format!("{} {}", sentence(name), is_or_are(name))
}

/// What was done, for an action that observes nothing.
pub(super) fn done(action: &Action, vehicle: &Vehicle) -> String {
    let name = |id: &ComponentId| vehicle.component(*id).id.to_string();
    match action {
        Action::Go(place) => format!("Now at: {}.", vehicle.layout.places[place.index()].title),
        Action::Remove(cover) => {
            format!("{} off.", lies(&vehicle.layout.covers[cover.index()].title))
        }
        Action::Fit(cover) => {
            format!(
                "{} on again.",
                lies(&vehicle.layout.covers[cover.index()].title)
            )
        }
        Action::Control {
            component,
            position,
            at_mid_glass,
            by_helper,
        } => {
            let control = vehicle.component(*component);
            let word = control
                .control
                .as_ref()
                .map_or(control.id.as_str(), |word| word.as_str());
            let position = control.positions()[*position];
            let middle = if *at_mid_glass {
                " with the blades at mid-glass"
            } else {
                ""
            };
            if *by_helper {
                format!("The helper puts {word} to {position}{middle}.")
            } else {
                format!("{} to {position}{middle}.", sentence(word))
            }
        }
        Action::Clip { .. } => "The lead is on; it reports after every command.".to_owned(),
        Action::Unclip => "The clipped lead is off.".to_owned(),
        Action::Unplug(id) => format!("{} is apart.", sentence(&name(id))),
        Action::Plug(id) => format!("{} is together.", sentence(&name(id))),
        Action::Loosen(id) => format!("{} is undone.", sentence(&name(id))),
        Action::Tighten(id) => format!("{} is done up.", sentence(&name(id))),
        Action::WetGlass => "The glass is wet.".to_owned(),
        Action::Wait { seconds } => format!("{seconds} s go by."),
        Action::Zero => {
            "The leads are held together; ohms are without them from now on.".to_owned()
        }
        Action::NewFuse => "New fuses are in.".to_owned(),
        Action::Jumper { .. } => "The lead is on.".to_owned(),
        Action::RemoveJumper { .. } => "The last lead is off.".to_owned(),
        Action::Substitute(id) => format!("A known good {} is in place.", name(id)),
        Action::PutBack(id) => format!("{}: its own part is back.", sentence(&name(id))),
        Action::Conclude(verdict) => {
            let component = vehicle.component(verdict.component);
            let words = action.words(vehicle);
            let mode = words.split_once('.').map_or("", |(_, mode)| mode);
            let condition = component
                .modes()
                .iter()
                .any(|known| known.name.as_str() == mode && known.is_condition());
            let what = if condition {
                "no fault found"
            } else {
                "the fault"
            };
            format!(
                "Noted as {what}: {} {mode}. It can be changed.",
                component.id
            )
        }
        Action::Repair { component, way } if vehicle.explains(*component, *way) => {
            let title = &vehicle.component(*component).title;
            format!("Explained to the driver: no fault, but {title}. It stays as it is.")
        }
        Action::Repair { component, way } => {
            let component = vehicle.component(*component);
            let done = match component.repairs[*way].name.as_str() {
                "replace" => "replaced",
                "mend" => "mended",
                "brushes" => "new brushes fitted",
                "free" => "freed",
                "tighten" => "tightened",
                "charge" => "charged",
                "clear" => "cleared",
                other => other,
            };
            format!(
                "{}: {done}. Whether it helped is for you to see.",
                sentence(&component.title)
            )
        }
        Action::Note(_) => "Noted.".to_owned(),
        Action::Suspect(suspicion) => hint::noted(*suspicion),
        Action::Hint(_) => "You ask the technician.".to_owned(),
        Action::Coach => {
            "The technician coaches you from here on: hints are free, what each check told is \
                          said, and there is no mark."
                .to_owned()
        }
        Action::HandOver(_) => "Handed over.".to_owned(),
        Action::GiveUp => "Given up.".to_owned(),
        Action::Measure { .. }
        | Action::Clamp(_)
        | Action::Trace(_)
        | Action::BatteryTest
        | Action::Tug(_)
        | Action::Wiggle(_)
        | Action::Ask
        | Action::Sense(_)
        | Action::MoveArm(_)
        | Action::Assist(_)
        | Action::Hold(_) => "Nothing to be had from that.".to_owned(),
    }
}
