//! Motors with a wound field in time: on at each position, off, and what faults of motor, switch and connectors make
//! of that.
//!
//! The eccentric of such a vehicle is held out, where it changes nothing but the throw, so that these runs are about
//! the field.

use std::sync::Arc;

use groundside_engine::machines::Stuck;
use groundside_engine::scenario::Glass;
use groundside_engine::vehicle::{Kind, Vehicle};

use super::attempts::Handles;
use super::by_hand::{NAIVE, closely};
use super::pair::{Deed, Held, Run};
use super::supply;
use crate::fleet::{Variant, variants, vehicles};
use crate::has_wound_field;
use crate::ledger::{Known, Ledger, Scope};

crate::checks![wound_fields_follow_their_currents];

/// The vehicle with its eccentric held out.
fn held_out(vehicle: &Vehicle) -> Arc<Vehicle> {
    let mut held = vehicle.clone();
    for part in &mut held.components {
        if let Kind::Eccentric(eccentric) = &mut part.kind {
            eccentric.stuck = Some(Stuck::Out);
        }
    }
    Arc::new(held)
}

/// On at a position, off after a while, and on again at another.
fn run(variant: &Variant, glass: Glass, position: usize) -> Option<Run> {
    let vehicle = held_out(&variant.vehicle);
    let handles = Handles::of(&vehicle);
    let ((key, on), (wiper, last)) = (handles.key?, handles.wiper?);
    let other = 1 + position % last;
    let deeds = vec![
        Deed::Set(key, on),
        Deed::Set(wiper, position),
        closely(3),
        Deed::Set(wiper, 0),
        closely(4),
        Deed::Set(wiper, other),
        closely(2),
    ];
    Some(Run {
        what: format!(
            "{}, {}, on at {position}, {}",
            vehicle.id,
            variant.name,
            glass.word()
        ),
        follow: supply(&vehicle),
        vehicle,
        glass,
        deeds,
    })
}

fn wound_fields_follow_their_currents(ledger: &mut Ledger) {
    ledger.source(Known::Computed, NAIVE);
    let apart = match ledger.scope() {
        Scope::Sample => 23,
        Scope::Sweep => 3,
        Scope::Full => 1,
    };
    for sound in vehicles().iter().filter(|vehicle| has_wound_field(vehicle)) {
        let last = Handles::of(sound).wiper.map_or(0, |(_, last)| last);
        let mut unsettled = 0;
        let mut runs = 0;
        for (place, variant) in variants(sound).iter().enumerate().step_by(apart) {
            let glass = [Glass::Wet, Glass::Dry, Glass::Streaming][place % 3];
            let held = run(variant, glass, 1 + place % last).map(|run| run.hold(ledger));
            unsettled += u32::from(held == Some(Held::Unsettled));
            runs += 1;
        }
        // A motor that turns round, or stops just short of the park window, hangs on a hair now and then.
        let told = format_args!("{}: {unsettled} of {runs} runs hang on a hair", sound.id);
        ledger.holds(told, 10 * unsettled <= runs);
    }
}
