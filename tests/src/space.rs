//! The space of operating points of a vehicle: every fault at three severities, every position of every
//! control, shaft held and running, meters put here and there. What is not gone through one by one
//! (crank and shaft angle, the other controls, a plug that is off, a breaker that is open, where the
//! meters are) is chosen by a fixed stream, so that a point is the same in every run.

use std::sync::Arc;

use groundside_engine::quantity::{Angle, Resistance, Voltage};
use groundside_engine::random::{Purpose, Seed, Stream};
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{ComponentId, Emf, Gate, Instrument, Kind, OPEN, Point, Vehicle};
use groundside_engine::world::{OperatingPoint, PointQuery, Shaft, VOLTMETER, WorldError};

use crate::fleet::{Variant, loose_variants, variants};
use crate::ledger::Scope;

/// An operating point of a vehicle, sound or not.
#[derive(Clone, Debug)]
pub struct Asked {
    /// What it is, in words that name it among all others.
    pub label: String,
    /// The vehicle.
    pub vehicle: Arc<Vehicle>,
    /// The fault in it, as in [`Variant::name`].
    pub fault: String,
    /// The operating point.
    pub query: PointQuery,
}

impl Asked {
    /// The engine's answer.
    ///
    /// # Errors
    /// [`WorldError`] when it has none.
    pub fn solve(&self) -> Result<OperatingPoint, WorldError> {
        OperatingPoint::of(&self.vehicle, &self.query)
    }
}

/// Meter placements gone through for each fault, control position and shaft at full scope.
const PLACEMENTS: usize = 5;

/// What rounding may leave, volts, of a part that floats as a whole with a source in it: the engine injects the
/// source's short-circuit current at one end and takes it out at the other, and what is left of the two in the
/// last digits goes through insulation (`engine/src/network/mod.rs` says so).
pub(crate) fn adrift(point: &OperatingPoint) -> f64 {
    let apart = point.response.elements().iter();
    let floating = apart.filter(|element| element.p.index() != 0 && element.n.index() != 0);
    let amperes = floating.map(|element| match element.emf {
        Emf::Constant(emf) => (emf.volts() / element.resistance.ohms()).abs(),
        Emf::None | Emf::PerSpeed(_) => 0.0,
    });
    4.0 * f64::EPSILON * amperes.sum::<f64>() * OPEN.ohms()
}

/// A choice that hangs on the label of a point alone.
pub(crate) struct Choice(Stream);

impl Choice {
    /// The choices for what `label` names.
    pub(crate) fn of(label: &str) -> Self {
        Self(Stream::keyed(Seed(3), Purpose::InitialAngle, label))
    }

    /// A number in `[0, 1)`.
    pub(crate) fn unit(&mut self) -> f64 {
        self.0.unit()
    }

    /// True once in `n` times.
    pub(crate) fn once_in(&mut self, n: u32) -> bool {
        self.unit() * f64::from(n) < 1.0
    }

    /// A place in a list that is not empty.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a list is short, and the share is in [0, 1)"
    )]
    pub(crate) fn index(&mut self, length: usize) -> usize {
        (self.unit() * length as f64) as usize
    }

    /// One of a list that is not empty.
    pub(crate) fn one_of<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.index(list.len())]
    }
}

/// What stands fixed at one point of the space.
struct Stratum<'a> {
    variant: &'a Variant,
    control: ComponentId,
    position: usize,
    shaft: Shaft,
    placement: usize,
}

/// The operating points of a vehicle at a scope: each fault once; or in each control position, held and
/// running; or that with several meter placements.
#[must_use]
pub fn points(sound: &Arc<Vehicle>, scope: Scope) -> Vec<Asked> {
    let mut variants = variants(sound);
    variants.extend(loose_variants(sound));
    let positions: Vec<(ComponentId, usize)> = sound
        .controls()
        .flat_map(|(id, control)| (0..control.positions().len()).map(move |place| (id, place)))
        .collect();
    let settings: Vec<(ComponentId, usize, Shaft)> = positions
        .iter()
        .flat_map(|&(id, place)| [(id, place, Shaft::Running), (id, place, Shaft::Held)])
        .collect();
    let mut list = Vec::new();
    for (number, variant) in variants.iter().enumerate() {
        let (settings, placements): (Vec<_>, usize) = match scope {
            // Seven is prime to the number of settings of most vehicles, so all come up.
            Scope::Sample => (vec![settings[(7 * number) % settings.len()]], 1),
            Scope::Sweep => (settings.clone(), 1),
            Scope::Full => (settings.clone(), PLACEMENTS),
        };
        for (control, position, shaft) in settings {
            for placement in 0..placements {
                list.push(asked(
                    sound,
                    &Stratum {
                        variant,
                        control,
                        position,
                        shaft,
                        placement,
                    },
                ));
            }
        }
    }
    list
}

fn asked(sound: &Vehicle, stratum: &Stratum<'_>) -> Asked {
    let word = |id: ComponentId| {
        let word = sound.component(id).control.as_ref();
        word.map_or("", |word| word.as_str())
    };
    let running = match stratum.shaft {
        Shaft::Held => "held",
        Shaft::Running => "running",
    };
    let control = sound.component(stratum.control);
    let key = format!(
        "{} {} {}={} {running} {}",
        sound.id,
        stratum.variant.name,
        word(stratum.control),
        control.positions()[stratum.position],
        stratum.placement
    );
    let mut choice = Choice::of(&key);
    let positions = sound.controls().map(|(id, control)| {
        let last = control.positions().len() - 1;
        let position = if id == stratum.control {
            stratum.position
        } else if choice.once_in(2) {
            // The last position of a control is the one that lets most current flow.
            last
        } else {
            choice.index(last + 1)
        };
        (id, position)
    });
    let positions: Vec<(ComponentId, usize)> = positions.collect();
    let query = PointQuery {
        positions,
        unplugged: some_of(sound, &mut choice, |id| {
            let paths = &sound.component(id).paths;
            paths.iter().any(|path| path.gate == Gate::Mated)
        }),
        tripped: some_of(sound, &mut choice, |id| {
            matches!(
                sound.component(id).kind,
                Kind::Breaker(_) | Kind::FusibleLink(_) | Kind::Fuse(_)
            )
        }),
        parted: stratum.variant.parted(),
        crank: Some(Angle::from_degrees((choice.unit() * 3600.0).floor() / 10.0)),
        shaft_angle: Some(Angle::from_degrees((choice.unit() * 360.0).floor() + 0.5)),
        shaft: stratum.shaft,
        glass: choice.one_of(&[Glass::Dry, Glass::Wet, Glass::Streaming]),
        instruments: instruments(sound, &mut choice),
    };
    Asked {
        label: format!("{key}{}", told(sound, &query, word)),
        vehicle: Arc::clone(&stratum.variant.vehicle),
        fault: stratum.variant.name.clone(),
        query,
    }
}

/// Mostly nothing, now and then one component of those that `among` lets in.
fn some_of(
    sound: &Vehicle,
    choice: &mut Choice,
    among: impl Fn(ComponentId) -> bool,
) -> Vec<ComponentId> {
    let list: Vec<ComponentId> = sound.ids().filter(|&id| among(id)).collect();
    if list.is_empty() || !choice.once_in(8) {
        return Vec::new();
    }
    vec![choice.one_of(&list)]
}

/// None to two meters between any points: voltmeters, and now and then what an ohmmeter puts in.
fn instruments(sound: &Vehicle, choice: &mut Choice) -> Vec<Instrument> {
    let points: Vec<Point> = sound.points().collect();
    let count = choice.index(3);
    let list = (0..count).map(|_| {
        let ohmmeter = choice.once_in(6);
        Instrument {
            red: sound.node(choice.one_of(&points)),
            black: sound.node(choice.one_of(&points)),
            resistance: if ohmmeter {
                Resistance::from_ohms(1000.0)
            } else {
                VOLTMETER
            },
            emf: Voltage::from_volts(if ohmmeter { 1.0 } else { 0.0 }),
        }
    });
    // A meter with both leads on one node is no branch of any circuit.
    list.filter(|meter| meter.red != meter.black).collect()
}

/// The rest of a point, in words.
fn told<'a>(sound: &Vehicle, query: &PointQuery, word: impl Fn(ComponentId) -> &'a str) -> String {
    let mut text = String::new();
    for &(id, position) in &query.positions {
        let name = sound.component(id).positions()[position];
        text.push_str(&format!(" {}={name}", word(id)));
    }
    for &id in &query.parted {
        text.push_str(&format!(" {} given way", sound.component(id).id));
    }
    for &id in query.unplugged.iter().chain(&query.tripped) {
        text.push_str(&format!(" {} open", sound.component(id).id));
    }
    let degrees = |angle: Option<Angle>| angle.map_or(0.0, Angle::degrees);
    text.push_str(&format!(
        " crank {:.1} shaft {:.1} {}",
        degrees(query.crank),
        degrees(query.shaft_angle),
        query.glass.word()
    ));
    for meter in &query.instruments {
        let kind = if meter.emf == Voltage::ZERO {
            "volts"
        } else {
            "ohms"
        };
        let name = |index: usize| sound.node_names[index].replace(' ', ".");
        let (red, black) = (name(meter.red.index()), name(meter.black.index()));
        text.push_str(&format!(" {kind} {red} {black}"));
    }
    text
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::fleet::vehicles;

    #[test]
    fn points_differ_and_reach_every_fault_control_plug_and_breaker() {
        for sound in vehicles() {
            let points = points(&sound, Scope::Sweep);
            let labels: BTreeSet<&str> = points.iter().map(|point| point.label.as_str()).collect();
            assert_eq!(labels.len(), points.len());
            let unplugged: BTreeSet<ComponentId> = points
                .iter()
                .flat_map(|point| point.query.unplugged.clone())
                .collect();
            assert!(unplugged.len() >= 2, "{unplugged:?}");
            assert!(points.iter().any(|point| !point.query.tripped.is_empty()));
            let measured: BTreeSet<usize> = points
                .iter()
                .flat_map(|point| &point.query.instruments)
                .map(|meter| meter.red.index())
                .collect();
            // What is inside a part has no place for a probe.
            let within_reach: BTreeSet<usize> = sound
                .points()
                .map(|point| sound.node(point).index())
                .collect();
            assert!(measured.len() * 10 >= within_reach.len() * 9);
        }
    }
}
