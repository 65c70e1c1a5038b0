//! All that could be observed in one setting of the controls, from a single run.

use super::handle::{falters, grip};
use super::motion::Probe;
use super::observation::Scale;
use super::permit::takes_arms_off;
use super::scales::{CLAMP, VOLTS};
use super::senses::{also_before, count, follows};
use super::signs::looked_at;
use super::tally::{Span, Trace};
use super::{
    Action, LOOK_WINDOW_S, Measurement, Observable, Quantity, SENSE_WINDOW_S, Sense, VOLTMETER,
    World, observable,
};
use crate::network::SolveError;
use crate::quantity::{Angle, SimTime};
use crate::vehicle::{ComponentId, Loose, Node, Roles, SourceResistance, Vehicle};
use std::sync::Arc;

/// Seconds in a position before it is looked at.
const SETTLE_S: f64 = 12.0;
/// Seconds for which a person looks and listens: what is heard or seen now and then, as a breaker's click, is met
/// as often as by one who does it.
const WATCH_S: f64 = LOOK_WINDOW_S;
/// Seconds of them at the end in which the blades are watched and a meter is followed, for a steadier mean than its own
/// four seconds give.
const LOOK_S: f64 = SENSE_WINDOW_S;

/// Later moments at which the switch is tried going off, seconds.
const LATER_S: [f64; 2] = [0.37, 0.83];

/// The places along the arc of a blade's tip where a switch may stop it, millimetres from rest (judgement).
const ANYWHERE_MM: [f64; 2] = [0.0, 700.0];

/// Seconds that the wipers run before a pivot is felt, and from key off until it is.
pub const FEEL_RUN_S: u32 = 60;
const FEEL_OFF_S: f64 = 36.0;

/// What a vehicle shows in one position of the wiper switch with the key on.
#[derive(Clone, Debug)]
pub struct Snapshot {
    vehicle: Arc<Vehicle>,
    span: Span,
    nodes: Vec<Trace>,
    source: SourceResistance,
    conductors: Vec<(ComponentId, Trace)>,
    senses: Vec<(Sense, Vec<Observable>)>,
    off_mark: Angle,
    /// Which fuses and links had melted, by component.
    melted: Vec<bool>,
    /// The same with the wiper arms off, where a cover takes them along: what is checked behind it is checked so.
    arms_off: Option<Box<Self>>,
}

impl World {
    /// Runs a vehicle that has come in through every position of its wiper switch, running ones first so
    /// that OFF is seen after a wipe; by position.
    ///
    /// # Errors
    /// [`SolveError`] when the circuit has no solution.
    pub fn snapshots(mut self) -> Result<Vec<Snapshot>, SolveError> {
        let Some(Roles {
            key, key_on, wiper, ..
        }) = self.vehicle.roles()
        else {
            return Ok(Vec::new());
        };
        self.motion.setting.positions[key.index()] = key_on;
        let count = self.vehicle.component(wiper).positions().len();
        let mut list = Vec::with_capacity(count);
        // HIGH before LOW before OFF: most switches go that way round.
        for position in (1..count).rev() {
            self.motion.setting.positions[wiper.index()] = position;
            list.push(self.snapshot_of_both(false)?);
        }
        let stops = self.stops(wiper)?;
        let stood = self.off_rest_mm();
        self.motion.setting.positions[wiper.index()] = 0;
        let mut off = self.snapshot_of_both(true)?;
        off.rest_anywhere_of(&stops);
        // Blades that went in one position and stand in the next were stopped by the switch, wherever that was.
        let mut went = false;
        for snapshot in &mut list {
            if went && !snapshot.moved() {
                snapshot.rest_anywhere_of(&ANYWHERE_MM);
            }
            went |= snapshot.moved();
        }
        let stayed = list.last().is_some_and(|last| !last.moved());
        if went && stayed && !off.moved() && self.off_rest_mm().total_cmp(&stood).is_eq() {
            off.rest_anywhere_of(&ANYWHERE_MM);
        }
        list.push(off);
        list.reverse();
        Ok(list)
    }

    /// The same with water in joints and plugs, on glass as it is; none where nothing leaks, or it is wet already.
    ///
    /// # Errors
    /// [`SolveError`] when the circuit has no solution.
    pub(crate) fn snapshots_soaked(&self) -> Result<Vec<Snapshot>, SolveError> {
        let leaks = |loose: &Loose| matches!(loose, Loose::Wet { .. });
        if self.handling(None).water || !self.vehicle.gives_way(leaks) {
            return Ok(Vec::new());
        }
        let mut soaked = self.clone();
        soaked.bench.soaked_until = SimTime::from_micros(u64::MAX);
        soaked.snapshots()
    }

    /// The same with what opens for warmth open; none where nothing does.
    ///
    /// # Errors
    /// [`SolveError`] when the circuit has no solution.
    pub(crate) fn snapshots_warm(&self) -> Result<Vec<Snapshot>, SolveError> {
        let opens = |loose: &Loose| matches!(loose, Loose::Warm { .. });
        if !self.vehicle.gives_way(opens) {
            return Ok(Vec::new());
        }
        let mut warm = self.clone();
        warm.motion.open_warm_contacts();
        warm.snapshots()
    }

    /// Where the blades stop when the switch goes off at other moments of the wipe, millimetres from rest:
    /// which moment a person picks is chance.
    fn stops(&self, wiper: ComponentId) -> Result<Vec<f64>, SolveError> {
        let handling = self.handling(None);
        let stop = |later_s: f64| {
            let mut world = self.clone();
            world.run(later_s, &[], &handling)?;
            world.motion.setting.positions[wiper.index()] = 0;
            world.run(SETTLE_S, &[], &handling)?;
            Ok(world.off_rest_mm())
        };
        LATER_S.into_iter().map(stop).collect()
    }

    /// With the arms as they are, and with those off from then on that come off with a cover.
    fn snapshot_of_both(&mut self, with_consumers: bool) -> Result<Snapshot, SolveError> {
        let mut snapshot = self.snapshot(with_consumers)?;
        let covers = &self.vehicle.layout.covers;
        if covers.iter().any(|cover| cover.takes_arms) {
            let mut bare = self.clone();
            for (off, cover) in bare.bench.covers_off.iter_mut().zip(covers) {
                *off |= cover.takes_arms;
            }
            snapshot.arms_off = Some(Box::new(bare.snapshot(false)?));
        }
        Ok(snapshot)
    }

    fn snapshot(&mut self, with_consumers: bool) -> Result<Snapshot, SolveError> {
        let vehicle = Arc::clone(&self.vehicle);
        let brushes = self.brush_probes();
        let ammeter = self.ammeter();
        // What ears and the dash follow all the while, then what a meter reads at the end of it.
        let mut probes = brushes.clone();
        probes.extend(ammeter.map(Probe::Needle));
        let followed = probes.len();
        let nodes = (0..vehicle.node_names.len()).map(Node);
        probes.extend(nodes.map(|node| Probe::Voltage(node, Node::REFERENCE)));
        let conductors: Vec<ComponentId> = vehicle
            .ids()
            .filter(|&id| vehicle.component(id).is_conductor())
            .collect();
        probes.extend(conductors.iter().map(|&id| Probe::Current(id, 0)));

        let handling = self.handling(None);
        self.run(SETTLE_S, &[], &handling)?;
        let first = self.run(WATCH_S - LOOK_S, &probes[..followed], &handling)?;
        let span = self.read(LOOK_S, &probes, &handling)?;
        let whole = first.and(&span);
        let mut blades = if self.at_intervals() {
            self.blades_watched(&whole)
        } else {
            self.blades_watched(&span)
        };
        also_before(&mut blades, &first, &span);
        let mut senses = vec![
            (Sense::LookBlades, blades),
            (
                Sense::LookLinkage,
                std::iter::once(follows(&whole))
                    .chain(self.adrift())
                    .collect(),
            ),
            (Sense::Count, vec![count(&whole)]),
            (
                Sense::Listen,
                self.heard(&whole, &whole.traces[..brushes.len()]),
            ),
        ];
        if let (Some(ammeter), Some(needle)) = (ammeter, whole.traces.get(brushes.len())) {
            senses.push((Sense::Ammeter, vec![self.discharge(ammeter, *needle)]));
        }
        let felt = self.pivots_felt(&span, f64::from(FEEL_RUN_S), FEEL_OFF_S);
        senses.extend(
            felt.into_iter()
                .map(|(id, seen)| (Sense::Feel(id), vec![seen])),
        );
        if with_consumers {
            for id in vehicle.ids() {
                let seen = self.clone().consumer_strength(id)?;
                senses.extend(seen.map(|seen| (Sense::Try(id), vec![seen])));
            }
        }
        let read = &span.traces[followed..];
        let nodes = read[..vehicle.node_names.len()].to_vec();
        let conductors = conductors
            .into_iter()
            .zip(read[nodes.len()..].iter().copied())
            .collect();
        let source = self.motion.seen_by_meter()?;
        Ok(Snapshot {
            vehicle,
            span,
            nodes,
            source,
            conductors,
            senses,
            off_mark: self.off_mark(),
            melted: self.motion.setting.tripped.clone(),
            arms_off: None,
        })
    }
}

impl Snapshot {
    /// What an action shows in this setting; empty for what is no check.
    #[must_use]
    pub fn predict(&self, check: &Action) -> Vec<Observable> {
        if let Some(arms_off) = &self.arms_off
            && takes_arms_off(check, &self.vehicle)
        {
            return arms_off.predict(check);
        }
        match check {
            Action::Measure {
                what: Measurement::Volts,
                red,
                black,
            } => {
                let at = |point| self.nodes[self.vehicle.node(point).index()];
                let (red_trace, black_trace) = (at(*red), at(*black));
                // The swing of a difference is not that of its ends; the mean is, and serves.
                let open = red_trace.mean - black_trace.mean;
                // The meter loads the circuit: on a wire that floats nothing of the volts is left.
                let (red_node, black_node) = (self.vehicle.node(*red), self.vehicle.node(*black));
                let source = self.source.between(red_node, black_node);
                let mean = open * (VOLTMETER / (VOLTMETER + source));
                let subject = format!(
                    "{} to {}",
                    self.vehicle.point_name(*red),
                    self.vehicle.point_name(*black)
                );
                vec![Observable::steady(
                    Quantity::Voltage,
                    subject,
                    mean,
                    Scale::Display(VOLTS),
                )]
            }
            Action::Clamp(wire) => self
                .conductors
                .iter()
                .filter(|(id, _)| id == wire)
                .map(|(id, trace)| {
                    let name = self.vehicle.component(*id).id.to_string();
                    observable(Quantity::Current, name, *trace, Scale::Display(CLAMP))
                })
                .collect(),
            Action::Sense(Sense::LookAt(id)) => {
                looked_at(&self.vehicle, *id, self.melted[id.index()], self.off_mark)
            }
            Action::Tug(point) => {
                let grip = grip(&self.vehicle, *point);
                let subject = grip.subject.clone();
                vec![grip, falters(&self.span, false, subject)]
            }
            Action::Wiggle(id) => {
                let subject = self.vehicle.component(*id).id.to_string();
                vec![falters(&self.span, false, subject)]
            }
            Action::Sense(sense) => {
                let known = self.senses.iter().find(|(kind, _)| kind == sense);
                known.map_or_else(Vec::new, |(_, seen)| seen.clone())
            }
            _ => Vec::new(),
        }
    }

    /// Widens where the blades rest to other places they may stop at.
    fn rest_anywhere_of(&mut self, stops: &[f64]) {
        let seen = self.senses.iter_mut().flat_map(|(_, seen)| seen);
        for rest in seen.filter(|seen| seen.quantity == Quantity::Rest) {
            rest.min = stops.iter().copied().fold(rest.min, f64::min);
            rest.max = stops.iter().copied().fold(rest.max, f64::max);
            rest.value = 0.5 * (rest.min + rest.max);
        }
    }

    /// Whether the blades moved.
    #[must_use]
    pub fn moved(&self) -> bool {
        self.span.crank_turns > 0.0
    }
}
