//! The strict words that actions are kept as in a record: [`Action::words`], which [`Action::from_words`] reads back
//! exactly.

use super::action::{Action, Hint, Measurement, Sense, Suspicion, Verdict, WriteUp};
use crate::scenario::Symptom;
use crate::vehicle::{ComponentId, CoverId, PlaceId, Point, Region, Vehicle};

/// Why words are not an action of this vehicle.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{words}` is not an action on this vehicle: {why}")]
pub struct BadWords {
    /// The words.
    pub words: String,
    /// What is wrong with them.
    pub why: String,
}

impl Action {
    /// The action in strict words: a verb and names, points as `component.terminal`.
    #[must_use]
    pub fn words(&self, vehicle: &Vehicle) -> String {
        let name = |id: ComponentId| vehicle.component(id).id.to_string();
        let point = |p: Point| vehicle.point_name(p).replace(' ', ".");
        let verdict = |v: Verdict| {
            let component = vehicle.component(v.component);
            format!("{}.{}", component.id, component.modes()[v.mode.0].name)
        };
        match self {
            Self::Go(place) => format!("go {}", vehicle.layout.places[place.0].id),
            Self::Remove(cover) => format!("remove {}", vehicle.layout.covers[cover.0].id),
            Self::Fit(cover) => format!("fit {}", vehicle.layout.covers[cover.0].id),
            Self::Control {
                component,
                position,
                at_mid_glass,
                by_helper,
            } => {
                let control = vehicle.component(*component);
                let helper = if *by_helper { "helper " } else { "" };
                let place = if *at_mid_glass { " at-mid-glass" } else { "" };
                let positions = control.positions();
                format!("{helper}set {} {}{place}", control.id, positions[*position])
            }
            Self::Measure { what, red, black } => {
                format!("{} {} {}", what.word(), point(*red), point(*black))
            }
            Self::Clamp(wire) => format!("clamp {}", name(*wire)),
            Self::Trace(wire) => format!("trace {}", name(*wire)),
            Self::BatteryTest => "battery-test".to_owned(),
            Self::Zero => "zero".to_owned(),
            Self::NewFuse => "new-fuse".to_owned(),
            Self::Jumper { first, second } => {
                format!("jumper {} {}", point(*first), point(*second))
            }
            Self::RemoveJumper { at_mid_glass } => {
                let place = if *at_mid_glass { " at-mid-glass" } else { "" };
                format!("remove-jumper{place}")
            }
            Self::Tug(at) => format!("tug {}", point(*at)),
            Self::Wiggle(id) => format!("wiggle {}", name(*id)),
            Self::Ask => "ask".to_owned(),
            Self::Substitute(id) => format!("substitute {}", name(*id)),
            Self::PutBack(id) => format!("swap-back {}", name(*id)),
            Self::Clip { red, black } => format!("clip {} {}", point(*red), point(*black)),
            Self::Unclip => "unclip".to_owned(),
            Self::Unplug(id) => format!("unplug {}", name(*id)),
            Self::Plug(id) => format!("plug {}", name(*id)),
            Self::Sense(Sense::LookBlades) => "look blades".to_owned(),
            Self::Sense(Sense::LookLinkage) => "look linkage".to_owned(),
            Self::Sense(Sense::LookAt(id)) => format!("look-at {}", name(*id)),
            Self::Sense(Sense::Smell(id)) => format!("smell {}", name(*id)),
            Self::Sense(Sense::Listen) => "listen".to_owned(),
            Self::Sense(Sense::Feel(id)) => format!("feel {}", name(*id)),
            Self::Sense(Sense::Ammeter) => "ammeter".to_owned(),
            Self::Sense(Sense::Count) => "count".to_owned(),
            Self::Sense(Sense::Try(id)) => format!("try {}", name(*id)),
            Self::MoveArm(id) => format!("move {}", name(*id)),
            Self::Assist(id) => format!("assist {}", name(*id)),
            Self::Hold(id) => format!("hold {}", name(*id)),
            Self::Loosen(id) => format!("loosen {}", name(*id)),
            Self::Tighten(id) => format!("tighten {}", name(*id)),
            Self::WetGlass => "wet-glass".to_owned(),
            Self::Wait { seconds } => format!("wait {seconds}"),
            Self::Conclude(v) => format!("conclude {}", verdict(*v)),
            Self::Repair { component, way } => {
                // A way that there is not has no word; nothing permits it either.
                let ways = &vehicle.component(*component).repairs;
                let way = ways.get(*way).map_or("?", |repair| repair.name.as_str());
                format!("repair {} {way}", name(*component))
            }
            Self::Note(text) => format!("note {text}"),
            Self::HandOver(write_up) => {
                let or_none = |word: Option<String>| word.unwrap_or_else(|| "none".to_owned());
                let complaint =
                    or_none(write_up.complaint.map(|symptom| symptom.word().to_owned()));
                let cause = or_none(write_up.cause.map(verdict));
                let correction = or_none(write_up.correction.map(name));
                format!(
                    "hand-over {complaint} {cause} {correction} {}",
                    write_up.text
                )
                .trim_end()
                .to_owned()
            }
            Self::Suspect(suspicion) => {
                let chances = Region::ALL.iter().zip(suspicion.chances);
                let chances = chances.filter(|(_, chance)| *chance > 0);
                let words = chances.map(|(region, chance)| format!(" {}={chance}", region.word()));
                format!("suspect{}", words.collect::<String>())
            }
            Self::Hint(hint) => format!("hint {}", hint.word()),
            Self::Coach => "coach".to_owned(),
            Self::GiveUp => "give-up".to_owned(),
        }
    }

    /// Reads strict words back.
    ///
    /// # Errors
    /// [`BadWords`] when they are no action of this vehicle.
    pub fn from_words(words: &str, vehicle: &Vehicle) -> Result<Self, BadWords> {
        Reader { words, vehicle }.action()
    }
}

fn measurement(verb: &str) -> Option<Measurement> {
    Measurement::ALL
        .into_iter()
        .find(|what| what.word() == verb)
}

/// Reads strict words.
struct Reader<'a> {
    words: &'a str,
    vehicle: &'a Vehicle,
}

impl Reader<'_> {
    fn bad(&self, why: impl Into<String>) -> BadWords {
        BadWords {
            words: self.words.chars().take(120).collect(),
            why: why.into(),
        }
    }

    fn component(&self, id: &str) -> Result<ComponentId, BadWords> {
        self.vehicle
            .find(id)
            .ok_or_else(|| self.bad(format!("no component `{id}`")))
    }

    fn point(&self, text: &str) -> Result<Point, BadWords> {
        let (id, terminal) = text
            .split_once('.')
            .ok_or_else(|| self.bad(format!("`{text}` is not a point")))?;
        let component = self.component(id)?;
        let terminal = self
            .vehicle
            .component(component)
            .terminal(terminal)
            .ok_or_else(|| self.bad(format!("`{id}` has no terminal `{terminal}`")))?;
        Ok(Point {
            component,
            terminal,
        })
    }

    fn verdict(&self, text: &str) -> Result<Verdict, BadWords> {
        let fault = self
            .vehicle
            .parse_fault(text)
            .map_err(|error| self.bad(error.to_string()))?;
        Ok(Verdict {
            component: fault.component,
            mode: fault.mode,
        })
    }

    fn control(
        &self,
        id: &str,
        position: &str,
        rest: &[&str],
        by_helper: bool,
    ) -> Result<Action, BadWords> {
        let component = self.component(id)?;
        let positions = self.vehicle.component(component).positions();
        let position = positions
            .iter()
            .position(|name| *name == position)
            .ok_or_else(|| self.bad(format!("`{id}` has no position `{position}`")))?;
        let at_mid_glass = match rest {
            [] => false,
            ["at-mid-glass"] => true,
            _ => return Err(self.bad("words too many")),
        };
        Ok(Action::Control {
            component,
            position,
            at_mid_glass,
            by_helper,
        })
    }

    /// Chances as `region=number`, each region once.
    fn suspicion(&self, words: &[&str]) -> Result<Action, BadWords> {
        let mut suspicion = Suspicion::default();
        for word in words {
            let known = word.split_once('=').and_then(|(name, chance)| {
                let place = Region::ALL
                    .iter()
                    .position(|region| region.word() == name)?;
                Some((place, chance.parse::<u8>().ok()?))
            });
            let (place, chance) =
                known.ok_or_else(|| self.bad(format!("`{word}` is not a region with a chance")))?;
            if std::mem::replace(&mut suspicion.chances[place], chance) > 0 {
                return Err(self.bad(format!("`{word}` is there twice")));
            }
        }
        Ok(Action::Suspect(suspicion))
    }

    fn hand_over(
        &self,
        complaint: &str,
        cause: &str,
        correction: &str,
        text: &str,
    ) -> Result<Action, BadWords> {
        let complaint = match complaint {
            "none" => None,
            word => Some(
                Symptom::from_word(word).ok_or_else(|| self.bad(format!("no symptom `{word}`")))?,
            ),
        };
        let cause = if cause == "none" {
            None
        } else {
            Some(self.verdict(cause)?)
        };
        let correction = if correction == "none" {
            None
        } else {
            Some(self.component(correction)?)
        };
        Ok(Action::HandOver(WriteUp {
            complaint,
            cause,
            correction,
            text: text.to_owned(),
        }))
    }

    fn action(&self) -> Result<Action, BadWords> {
        let place = |id: &str| {
            let places = &self.vehicle.layout.places;
            let found = places.iter().position(|place| place.id.as_str() == id);
            found
                .map(PlaceId)
                .ok_or_else(|| self.bad(format!("no place `{id}`")))
        };
        let cover = |id: &str| {
            let covers = &self.vehicle.layout.covers;
            let found = covers.iter().position(|cover| cover.id.as_str() == id);
            found
                .map(CoverId)
                .ok_or_else(|| self.bad(format!("no cover `{id}`")))
        };
        if let Some(text) = self.words.strip_prefix("note ") {
            return Ok(Action::Note(text.to_owned()));
        }
        let parts: Vec<&str> = self.words.split(' ').collect();
        if let [verb, red, black] = parts.as_slice()
            && let Some(what) = measurement(verb)
        {
            let (red, black) = (self.point(red)?, self.point(black)?);
            return Ok(Action::Measure { what, red, black });
        }
        Ok(match parts.as_slice() {
            ["go", id] => Action::Go(place(id)?),
            ["remove", id] => Action::Remove(cover(id)?),
            ["fit", id] => Action::Fit(cover(id)?),
            ["set", id, position, rest @ ..] => self.control(id, position, rest, false)?,
            ["helper", "set", id, position, rest @ ..] => self.control(id, position, rest, true)?,
            ["jumper", first, second] => Action::Jumper {
                first: self.point(first)?,
                second: self.point(second)?,
            },
            ["trace", id] => Action::Trace(self.component(id)?),
            ["battery-test"] => Action::BatteryTest,
            ["zero"] => Action::Zero,
            ["new-fuse"] => Action::NewFuse,
            ["remove-jumper"] => Action::RemoveJumper {
                at_mid_glass: false,
            },
            ["remove-jumper", "at-mid-glass"] => Action::RemoveJumper { at_mid_glass: true },
            ["tug", at] => Action::Tug(self.point(at)?),
            ["wiggle", id] => Action::Wiggle(self.component(id)?),
            ["ask"] => Action::Ask,
            ["substitute", id] => Action::Substitute(self.component(id)?),
            ["swap-back", id] => Action::PutBack(self.component(id)?),
            ["look-at", id] => Action::Sense(Sense::LookAt(self.component(id)?)),
            ["smell", id] => Action::Sense(Sense::Smell(self.component(id)?)),
            ["clamp", id] => Action::Clamp(self.component(id)?),
            ["clip", red, black] => Action::Clip {
                red: self.point(red)?,
                black: self.point(black)?,
            },
            ["unclip"] => Action::Unclip,
            ["unplug", id] => Action::Unplug(self.component(id)?),
            ["plug", id] => Action::Plug(self.component(id)?),
            ["look", "blades"] => Action::Sense(Sense::LookBlades),
            ["look", "linkage"] => Action::Sense(Sense::LookLinkage),
            ["listen"] => Action::Sense(Sense::Listen),
            ["feel", id] => Action::Sense(Sense::Feel(self.component(id)?)),
            ["ammeter"] => Action::Sense(Sense::Ammeter),
            ["count"] => Action::Sense(Sense::Count),
            ["try", id] => Action::Sense(Sense::Try(self.component(id)?)),
            ["move", id] => Action::MoveArm(self.component(id)?),
            ["assist", id] => Action::Assist(self.component(id)?),
            ["hold", id] => Action::Hold(self.component(id)?),
            ["loosen", id] => Action::Loosen(self.component(id)?),
            ["tighten", id] => Action::Tighten(self.component(id)?),
            ["wet-glass"] => Action::WetGlass,
            ["wait", seconds] => {
                let seconds = seconds
                    .parse()
                    .map_err(|_| self.bad("seconds are a whole number"))?;
                Action::Wait { seconds }
            }
            ["conclude", verdict] => Action::Conclude(self.verdict(verdict)?),
            ["repair", id, way] => {
                let component = self.component(id)?;
                let repairs = &self.vehicle.component(component).repairs;
                let found = repairs
                    .iter()
                    .position(|repair| repair.name.as_str() == *way);
                let way = found.ok_or_else(|| self.bad(format!("`{id}` has no repair `{way}`")))?;
                Action::Repair { component, way }
            }
            ["hand-over", complaint, cause, correction, text @ ..] => {
                self.hand_over(complaint, cause, correction, &text.join(" "))?
            }
            ["suspect", chances @ ..] => self.suspicion(chances)?,
            ["hint", word] => {
                let hint = Hint::ALL.into_iter().find(|hint| hint.word() == *word);
                Action::Hint(hint.ok_or_else(|| self.bad(format!("no hint `{word}`")))?)
            }
            ["coach"] => Action::Coach,
            ["give-up"] => Action::GiveUp,
            _ => return Err(self.bad("no such verb, or words too few or too many")),
        })
    }
}
