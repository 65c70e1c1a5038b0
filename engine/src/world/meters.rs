//! The meter and the clamp: what they show of a running vehicle.

use super::motion::Probe;
use super::observation::{Observable, Quantity, Scale};
use super::scales::{CLAMP, OHMS, VOLTS};
use super::tally::{Span, Trace};
use super::{METER_WINDOW_S, VOLTMETER, World, observable, seconds};
use crate::network::SolveError;
use crate::quantity::{Minutes, Resistance, Voltage};
use crate::vehicle::{Circuit, ComponentId, Instrument, Point};

/// The ohmmeter's source: open-circuit EMF (meter manuals: at most 1.5 V).
const OHMMETER_EMF: Voltage = Voltage::from_volts(1.0);
/// The ohmmeter's own series resistance, leads apart (1 mA into a short; judgement).
const OHMMETER_OHM: f64 = 1000.0;
/// Both test leads together (meter manuals: 0.1 to 0.2 ohm).
const LEADS_OHM: f64 = 0.2;
impl World {
    pub(super) fn voltmeter(&self, red: Point, black: Point) -> Instrument {
        Instrument {
            red: self.vehicle.node(red),
            black: self.vehicle.node(black),
            resistance: VOLTMETER,
            emf: Voltage::ZERO,
        }
    }

    /// Runs the vehicle with one more instrument on it, then takes it off again.
    pub(super) fn with_instrument(
        &mut self,
        instrument: Instrument,
        minutes: Minutes,
    ) -> Result<Span, SolveError> {
        let clip = self
            .bench
            .clip
            .map(|(red, black)| self.voltmeter(red, black));
        let without: Vec<Instrument> = clip.into_iter().collect();
        let mut with = without.clone();
        with.push(instrument);
        // The leads are on for the window only; before it the person gets there.
        let total = seconds(minutes);
        let window = METER_WINDOW_S.min(total);
        self.pass(total - window, None)?;
        let handling = self.handling(None);
        self.motion.connect(with);
        let span = self.run(
            window,
            &[Probe::Voltage(instrument.red, instrument.black)],
            &handling,
        )?;
        self.motion.connect(without);
        self.bench.now = self.bench.now.plus_micros(minutes.micros());
        Ok(span)
    }

    pub(super) fn between(&self, red: Point, black: Point) -> String {
        format!(
            "{} to {}",
            self.vehicle.point_name(red),
            self.vehicle.point_name(black)
        )
    }

    pub(super) fn volts(
        &mut self,
        red: Point,
        black: Point,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let span = self.with_instrument(self.voltmeter(red, black), minutes)?;
        let volts = observable(
            Quantity::Voltage,
            self.between(red, black),
            span.traces[0],
            Scale::Display(VOLTS),
        );
        Ok(vec![volts, self.blades(&span)])
    }

    pub(super) fn ohms(
        &mut self,
        red: Point,
        black: Point,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let series = OHMMETER_OHM + LEADS_OHM;
        let instrument = Instrument {
            red: self.vehicle.node(red),
            black: self.vehicle.node(black),
            resistance: Resistance::from_ohms(series),
            emf: OHMMETER_EMF,
        };
        let span = self.with_instrument(instrument, minutes)?;
        let volts = span.traces[0];
        let trace = Trace {
            mean: ohms_shown(volts.mean),
            min: ohms_shown(volts.min),
            max: ohms_shown(volts.max),
            ..volts
        };
        let ohms = observable(
            Quantity::Resistance,
            self.between(red, black),
            trace,
            Scale::Display(OHMS),
        );
        Ok(vec![ohms, self.blades(&span)])
    }

    /// What the ohmmeter would show of the vehicle standing as it does, from its circuit alone,
    /// with these straps undone.
    pub(crate) fn ohms_at_rest(
        &self,
        red: Point,
        black: Point,
        straps: &[ComponentId],
    ) -> Option<Observable> {
        let (red_node, black_node) = (self.vehicle.node(red), self.vehicle.node(black));
        let mut setting = self.motion.setting.clone();
        for strap in straps {
            setting.unplugged[strap.index()] = true;
        }
        let circuit = Circuit::new(&self.vehicle, &setting, &[]);
        let source = circuit
            .seen_by_meter()
            .ok()?
            .between(red_node, black_node)
            .ohms();
        let open = circuit
            .response()
            .ok()?
            .voltage(red_node, black_node)
            .at_rest;
        let series = OHMMETER_OHM + LEADS_OHM;
        let volts = (open * series + OHMMETER_EMF.volts() * source) / (series + source);
        let subject = self.between(red, black);
        Some(Observable::steady(
            Quantity::Resistance,
            subject,
            ohms_shown(volts),
            Scale::Display(OHMS),
        ))
    }

    pub(super) fn clamp(
        &mut self,
        wire: ComponentId,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let span = self.watch(minutes, METER_WINDOW_S, &[Probe::Current(wire, 0)], None)?;
        let name = self.vehicle.component(wire).id.to_string();
        let current = observable(
            Quantity::Current,
            name,
            span.traces[0],
            Scale::Display(CLAMP),
        );
        Ok(vec![current, self.blades(&span)])
    }

    /// What the voltmeter that was left connected saw during the action: nothing when no time passed.
    pub(super) fn clipped(&mut self) -> Option<Observable> {
        let (red, black) = self.bench.clip?;
        let trace = self.motion.take_record()?;
        Some(observable(
            Quantity::Voltage,
            self.between(red, black),
            trace,
            Scale::Display(VOLTS),
        ))
    }
}

/// What the ohmmeter shows for a voltage between its probes, ohms. It divides the voltage at its sockets by
/// the current of its own source, and believes that nothing else drives any: on a live circuit it shows
/// nonsense, as in life.
fn ohms_shown(volts: f64) -> f64 {
    let current = (OHMMETER_EMF.volts() - volts) / (OHMMETER_OHM + LEADS_OHM);
    (volts + current * LEADS_OHM) / current
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::file::read_vehicle;
    use crate::scenario::Glass;
    use crate::vehicle::{Fault, Vehicle};
    use crate::world::Conditions;

    fn parked(sound: &Arc<Vehicle>, vehicle: Vehicle) -> World {
        let conditions = Conditions {
            glass: Glass::Wet,
            helper: false,
        };
        let mut world = World::new(Arc::new(vehicle), Arc::clone(sound), conditions).unwrap();
        world.arrive().unwrap();
        world
    }

    /// The marking reckons with the one, the person reads the other.
    #[test]
    fn ohms_reckoned_of_a_vehicle_at_rest_are_those_that_are_read() {
        let text = include_str!("../../../scenarios/van-case-ground.toml");
        let sound = Arc::new(read_vehicle(text).unwrap().0);
        let strap = sound.find("battery-strap").unwrap();
        let points: Vec<Point> = sound.points().collect();
        for (number, (component, mode, data)) in sound.faults().into_iter().enumerate() {
            let severity = data.severity.map(|law| law.median());
            let fault = Fault {
                component,
                mode,
                severity,
            };
            let mut world = parked(&sound, sound.inject(&fault));
            let (red, black) = (
                points[(7 * number + 3) % points.len()],
                points[(11 * number) % points.len()],
            );
            for straps in [&[][..], &[strap]] {
                let reckoned = world.ohms_at_rest(red, black, straps).unwrap();
                world.motion.setting.unplugged[strap.index()] = !straps.is_empty();
                let read = &world
                    .ohms(red, black, Minutes::from_hundredths(80))
                    .unwrap()[0];
                assert_eq!(
                    (reckoned.quantity, &reckoned.subject),
                    (read.quantity, &read.subject)
                );
                // As volts at the meter's sockets: ohms of an open circuit would magnify rounding.
                let volts = |ohms: f64| ohms / (ohms + OHMMETER_OHM);
                let (one, other) = (volts(reckoned.value), volts(read.value));
                assert!(
                    (one - other).abs() <= 1e-9 * one.abs().max(1.0),
                    "{}, {}, {straps:?}: {} reckoned, {} read",
                    sound.fault_name(&fault),
                    read.subject,
                    reckoned.value,
                    read.value
                );
            }
        }
    }
}
