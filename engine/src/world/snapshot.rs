//! All that could be observed in one setting of the controls, from a single run.

use super::handle::{falters, grip};
use super::motion::Probe;
use super::observation::Scale;
use super::scales::{CLAMP, VOLTS};
use super::senses::{count, follows};
use super::signs::looked_at;
use super::tally::{Span, Trace};
use super::{Action, Measurement, Observable, Quantity, Sense, VOLTMETER, World, observable};
use crate::network::SolveError;
use crate::vehicle::{ComponentId, Node, Roles, SourceResistance, Vehicle};
use std::sync::Arc;

/// Seconds in a position before it is looked at.
const SETTLE_S: f64 = 12.0;
/// Seconds it is looked at.
const LOOK_S: f64 = 10.0;

/// Later moments at which the switch is tried going off, seconds.
const LATER_S: [f64; 2] = [0.37, 0.83];

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
            list.push(self.snapshot(false)?);
        }
        let stops = self.stops(wiper)?;
        self.motion.setting.positions[wiper.index()] = 0;
        let mut off = self.snapshot(true)?;
        off.rest_anywhere_of(&stops);
        list.push(off);
        list.reverse();
        Ok(list)
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

    fn snapshot(&mut self, with_consumers: bool) -> Result<Snapshot, SolveError> {
        let vehicle = Arc::clone(&self.vehicle);
        let mut probes: Vec<Probe> = (0..vehicle.node_names.len())
            .map(|node| Probe::Voltage(Node(node), Node::REFERENCE))
            .collect();
        let conductors: Vec<ComponentId> = vehicle
            .ids()
            .filter(|&id| vehicle.component(id).is_conductor())
            .collect();
        probes.extend(conductors.iter().map(|&id| Probe::Current(id, 0)));
        let brushes = self.brush_probes();
        let (first_brush, ammeter) = (probes.len(), self.ammeter());
        probes.extend(&brushes);
        probes.extend(ammeter.map(Probe::Needle));

        let handling = self.handling(None);
        self.run(SETTLE_S, &[], &handling)?;
        let span = self.run(LOOK_S, &probes, &handling)?;
        let traces = &span.traces;
        let mut senses = vec![
            (Sense::LookBlades, self.blades_watched(&span)),
            (
                Sense::LookLinkage,
                std::iter::once(follows(&span))
                    .chain(self.adrift())
                    .collect(),
            ),
            (Sense::Count, vec![count(&span)]),
            (
                Sense::Listen,
                self.heard(&span, &traces[first_brush..first_brush + brushes.len()]),
            ),
        ];
        if let Some(ammeter) = ammeter {
            let trace = traces[traces.len() - 1];
            senses.push((Sense::Ammeter, vec![self.discharge(ammeter, trace)]));
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
        let nodes = traces[..vehicle.node_names.len()].to_vec();
        let conductors = conductors
            .into_iter()
            .zip(traces[nodes.len()..].iter().copied())
            .collect();
        let source = self.motion.seen_by_meter()?;
        Ok(Snapshot {
            vehicle,
            span,
            nodes,
            source,
            conductors,
            senses,
        })
    }
}

impl Snapshot {
    /// What an action shows in this setting; empty for what is no check.
    #[must_use]
    pub fn predict(&self, check: &Action) -> Vec<Observable> {
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
            Action::Sense(Sense::LookAt(id)) => looked_at(&self.vehicle, *id, false),
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
