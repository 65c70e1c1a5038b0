//! Meter, clamp, lamps and leads: what they show of a running vehicle.

use super::action::Measurement;
use super::dials::{brightness, ohms_shown};
use super::kit::Kit;
use super::leads::{Fused, Glow, METER_FUSE, jumpers, shunt};
use super::motion::{Handling, Probe};
use super::observation::{Observable, Quantity, Scale};
use super::scales::{AMPS, BEEP, CLAMP, DIODE, FED_BY_LAMP, FUSE, OHMS, VOLTS};
use super::tally::{Span, Trace};
use super::{LOOK_WINDOW_S, METER_WINDOW_S, VOLTMETER, World, observable, seconds};
use crate::machines::Filament;
use crate::network::SolveError;
use crate::quantity::{Current, Minutes, Resistance, Voltage};
use crate::vehicle::{
    ComponentId, Instrument, Kind, OPEN, Point, Response, SourceResistance, TripData,
};

/// The ohmmeter's source: open-circuit EMF (meter manuals: at most 1.5 V).
pub(super) const OHMMETER_EMF: Voltage = Voltage::from_volts(1.0);
/// The ohmmeter's own series resistance, leads apart (1 mA into a short; judgement).
pub(super) const OHMMETER_OHM: f64 = 1000.0;
/// The diode range's source and series resistance: 1 mA into a drop of 1 V, 3 V into an open (judgement).
pub(super) const DIODE_EMF: Voltage = Voltage::from_volts(3.0);
pub(super) const DIODE_OHM: f64 = 2000.0;
/// Both test leads together (meter manuals: 0.1 to 0.2 ohm).
pub(super) const LEADS_OHM: f64 = 0.2;
/// Powers of the test lamp and of the load lamp, a headlamp bulb (judgement).
pub(super) const TEST_LAMP_W: f64 = 3.0;
pub(super) const LOAD_LAMP_W: f64 = 55.0;
/// Resistance of a cold filament as a share of its hot one (12 V bulbs: 1/8 to 1/15; from memory).
const COLD_SHARE: f64 = 0.1;
/// The battery tester's load and how long it is on: some 90 A on a battery of 12 V (judgement).
pub(super) const TEST_LOAD: Resistance = Resistance::from_ohms(0.12);
pub(super) const TEST_LOAD_S: f64 = 10.0;
/// Turns of a motor's shaft, and of the crank, from which it is heard and seen to turn on a lamp.
const FED_TURNS: f64 = 1.0;
const FED_CRANK_TURNS: f64 = 0.02;
/// How long a person waits for the needle to come to rest where the tester itself lets the current flow, seconds: the
/// inrush of a cold filament or of a motor that sets off is over by then (judgement).
const SETTLES_S: f64 = 1.0;
/// The same for the dash ammeter: five times what its needle lags by.
const DASH_SETTLES_S: f64 = 2.0;
/// Shares of what is left of a turn that are run at a time until it is through: the pace at its end is known the better.
const NEARING: [f64; 4] = [0.4, 0.7, 0.8, 1.0];
/// Ohms beyond which the continuity range makes no difference.
const BEEP_END_OHM: f64 = 1e3;

/// What is held on two points while it is read.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Tester {
    /// A resistance with an EMF.
    Plain(Instrument),
    /// The meter's shunt, behind its fuse.
    Shunt(Fused),
    /// A lamp.
    Lamp(Glow),
}

/// The circuit of a vehicle that stands with some of it undone.
#[derive(Clone, Debug)]
pub(crate) struct AtRest {
    source: SourceResistance,
    response: Response,
}

impl World {
    pub(super) fn voltmeter(&self, red: Point, black: Point) -> Instrument {
        self.instrument(red, black, VOLTMETER, Voltage::ZERO)
    }

    fn instrument(
        &self,
        red: Point,
        black: Point,
        resistance: Resistance,
        emf: Voltage,
    ) -> Instrument {
        Instrument {
            red: self.vehicle.node(red),
            black: self.vehicle.node(black),
            resistance,
            emf,
        }
    }

    /// Puts on the circuit what the bench says is left on it.
    pub(super) fn connect(&mut self) {
        let clip = self
            .bench
            .clip
            .map(|(red, black)| self.voltmeter(red, black));
        self.motion
            .record(clip.map(|meter| Probe::Voltage(meter.red, meter.black)));
        self.motion.connect(clip.into_iter().collect());
        let leads = jumpers(&self.bench, &self.vehicle);
        self.motion.connect_leads(&leads);
    }

    /// Runs the vehicle with a tester on it for the last moments, then takes it off again.
    fn tested(
        &mut self,
        tester: Tester,
        probe: Probe,
        minutes: Minutes,
    ) -> Result<Span, SolveError> {
        // The leads are on for the window only; before it the person gets there.
        let total = seconds(minutes);
        let window = METER_WINDOW_S.min(total);
        // What carries current starts what it feeds: that is waited for, and not read.
        let settles = match tester {
            Tester::Plain(_) => 0.0,
            Tester::Shunt(_) | Tester::Lamp(_) => SETTLES_S.min(total - window),
        };
        self.pass(total - window - settles, None)?;
        let span = self.held_on(tester, probe, [settles, window])?;
        self.has_taken(minutes);
        Ok(span)
    }

    /// Runs the vehicle with a tester on it, then takes it off again: for some seconds in which it settles, and then
    /// for those in which it is read.
    fn held_on(
        &mut self,
        tester: Tester,
        probe: Probe,
        [settles, window]: [f64; 2],
    ) -> Result<Span, SolveError> {
        let clip = self
            .bench
            .clip
            .map(|(red, black)| self.voltmeter(red, black));
        let mut instruments: Vec<Instrument> = clip.into_iter().collect();
        let mut leads = jumpers(&self.bench, &self.vehicle);
        match tester {
            Tester::Plain(instrument) => instruments.push(instrument),
            Tester::Shunt(fused) => leads.push(fused),
            Tester::Lamp(_) => {}
        }
        let handling = self.handling(None);
        self.motion.connect(instruments);
        self.motion.connect_leads(&leads);
        if let Tester::Lamp(lamp) = tester {
            self.motion.connect_lamp(Some(lamp));
        }
        let settled = self.run(settles, &[probe], &handling)?;
        let mut span = self.read(window, &[probe], &handling)?;
        if matches!(tester, Tester::Shunt(_)) && self.motion.blown().last() == Some(&true) {
            // What blew the fuse is what the display last showed.
            let (seen, before) = (&mut span.traces[0], settled.traces[0]);
            if settles > 0.0 && !self.meter_blown {
                *seen = before.then(*seen);
            }
            self.meter_blown = true;
        }
        self.motion.connect_lamp(None);
        self.connect();
        Ok(span)
    }

    /// Runs the vehicle while an instrument is read. A person takes the middle between which a needle swings as the
    /// wipers go to and fro: what is averaged is as many whole turns of the crank as there are in the window, or all of
    /// it where there is none. Of what a contact switches on and off in each turn, a hundredth of a turn too many or too few
    /// would show.
    pub(super) fn read(
        &mut self,
        window: f64,
        probes: &[Probe],
        handling: &Handling,
    ) -> Result<Span, SolveError> {
        let first = self.run(0.5 * window, probes, handling)?;
        let turns = first.crank_turns;
        let whole = (2.0 * turns).floor();
        if whole < 1.0 || whole < turns {
            let rest = self.run(0.5 * window, probes, handling)?;
            return Ok(first.and(&rest));
        }
        let mut cycles = first;
        let (mut pace, mut left) = (turns / cycles.seconds, 0.5 * window);
        for share in NEARING {
            // The pace of the last stretch tells when the last of these turns is through, the nearer the better.
            let more = (share * (whole - cycles.crank_turns) / pace).clamp(0.0, left);
            let stretch = self.run(more, probes, handling)?;
            if stretch.crank_turns > 0.0 {
                pace = stretch.crank_turns / stretch.seconds;
            }
            left -= more;
            cycles = cycles.and(&stretch);
        }
        let rest = self.run(left, probes, handling)?;
        let mut all = cycles.and(&rest);
        for (trace, over) in all.traces.iter_mut().zip(&cycles.traces) {
            *trace = Trace {
                min: trace.min,
                max: trace.max,
                ..*over
            };
        }
        Ok(all)
    }

    /// Watches the dash ammeter: a person lets its needle come to rest, or to where it keeps swinging, and then reads it.
    pub(super) fn needle_read(
        &mut self,
        ammeter: ComponentId,
        minutes: Minutes,
    ) -> Result<Span, SolveError> {
        let needle = [Probe::Needle(ammeter)];
        let total = seconds(minutes);
        let window = (LOOK_WINDOW_S - DASH_SETTLES_S).min(total);
        let settles = DASH_SETTLES_S.min(total - window);
        self.pass(total - window - settles, None)?;
        let handling = self.handling(None);
        self.run(settles, &needle, &handling)?;
        let span = self.read(window, &needle, &handling)?;
        self.has_taken(minutes);
        Ok(span)
    }

    /// Watches a wire for as long as a clamp is held to it.
    fn clamped(&mut self, wire: ComponentId, minutes: Minutes) -> Result<Span, SolveError> {
        let window = METER_WINDOW_S.min(seconds(minutes));
        self.pass(seconds(minutes) - window, None)?;
        let handling = self.handling(None);
        let span = self.read(window, &[Probe::Current(wire, 0)], &handling)?;
        self.has_taken(minutes);
        Ok(span)
    }

    pub(super) fn between(&self, red: Point, black: Point) -> String {
        format!(
            "{} to {}",
            self.vehicle.point_name(red),
            self.vehicle.point_name(black)
        )
    }

    /// What a measurement between two points gives.
    pub(super) fn measure(
        &mut self,
        what: Measurement,
        red: Point,
        black: Point,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let across = Probe::Voltage(self.vehicle.node(red), self.vehicle.node(black));
        let subject = self.between(red, black);
        let (span, mut seen) = match what {
            Measurement::Volts => {
                let meter = Tester::Plain(self.voltmeter(red, black));
                let span = self.tested(meter, across, minutes)?;
                let volts = observable(
                    Quantity::Voltage,
                    subject,
                    span.traces[0],
                    Scale::Display(VOLTS),
                );
                (span, vec![volts])
            }
            Measurement::Ohms | Measurement::Continuity => {
                let series = Resistance::from_ohms(OHMMETER_OHM + LEADS_OHM);
                let meter = Tester::Plain(self.instrument(red, black, series, OHMMETER_EMF));
                let span = self.tested(meter, across, minutes)?;
                let ohms = self.ohms_trace(span.traces[0]);
                let beeps = Observable::steady(
                    Quantity::Continuity,
                    subject.clone(),
                    ohms.mean.abs().min(BEEP_END_OHM),
                    Scale::Words(BEEP),
                );
                let ohms = observable(Quantity::Resistance, subject, ohms, Scale::Display(OHMS));
                let beeps = (what == Measurement::Continuity).then_some(beeps);
                (span, beeps.into_iter().chain([ohms]).collect())
            }
            Measurement::Diode => {
                let series = Resistance::from_ohms(DIODE_OHM + LEADS_OHM);
                let meter = Tester::Plain(self.instrument(red, black, series, DIODE_EMF));
                let span = self.tested(meter, across, minutes)?;
                let volts = observable(
                    Quantity::DiodeVoltage,
                    subject,
                    span.traces[0],
                    Scale::Display(DIODE),
                );
                (span, vec![volts])
            }
            Measurement::Amps => self.amps(red, black, subject, minutes)?,
            Measurement::Lamp | Measurement::Load => {
                let watts = if what == Measurement::Lamp {
                    TEST_LAMP_W
                } else {
                    LOAD_LAMP_W
                };
                let filament = self.lamp(watts);
                let lamp = Glow::cold(self.vehicle.node(red), self.vehicle.node(black), filament);
                let (ran, turned) = (self.motor_runs(), self.crank_turned);
                let span = self.tested(Tester::Lamp(lamp), across, minutes)?;
                let volts = span.traces[0];
                let mut seen = vec![brightness(&filament, subject.clone(), volts)];
                // It may have moved the blades on before the lamp is read, and stalled.
                let moved = self.crank_turned - turned > FED_CRANK_TURNS;
                let fed = !ran && (moved || span.shaft_turns.abs() > FED_TURNS);
                seen.push(Observable::steady(
                    Quantity::MotorChange,
                    "motor".to_owned(),
                    f64::from(u8::from(fed)),
                    Scale::Words(FED_BY_LAMP),
                ));
                if what == Measurement::Load {
                    seen.push(observable(
                        Quantity::Voltage,
                        subject,
                        volts,
                        Scale::Display(VOLTS),
                    ));
                }
                (span, seen)
            }
        };
        seen.push(self.blades(&span));
        Ok(seen)
    }

    /// The current that the meter carries in series. A fuse that has blown carries none, and is seen only
    /// when somebody looks: the display shows zero.
    fn amps(
        &mut self,
        red: Point,
        black: Point,
        subject: String,
        minutes: Minutes,
    ) -> Result<(Span, Vec<Observable>), SolveError> {
        let whole = !self.meter_blown;
        let mut instrument = shunt(&self.vehicle, red, black);
        if !whole {
            instrument.resistance = OPEN;
        }
        let shunt = Fused {
            instrument,
            fuse: TripData::blade_fuse(METER_FUSE),
        };
        let place = self.bench.jumpers.len();
        let span = self.tested(Tester::Shunt(shunt), Probe::Lead(place), minutes)?;
        let trace = if self.meter_blown && whole {
            // What is left to be read is that nothing flows any more.
            Trace {
                mean: 0.0,
                ..span.traces[0]
            }
        } else {
            span.traces[0]
        };
        let current = observable(
            Quantity::SeriesCurrent,
            subject,
            trace,
            Scale::Display(AMPS),
        );
        let fuse = Observable::steady(
            Quantity::MeterFuse,
            "meter".to_owned(),
            f64::from(u8::from(self.meter_blown)),
            Scale::Words(FUSE),
        );
        Ok((span, vec![current, fuse]))
    }

    /// A lamp of some watts, made for the vehicle's battery.
    pub(super) fn lamp(&self, watts: f64) -> Filament {
        let rated_voltage = Kit::lamp_volts(&self.sound);
        Filament {
            rated_voltage,
            rated_current: Current::from_amperes(watts / rated_voltage.volts()),
            cold_share: COLD_SHARE,
        }
    }

    /// What the ohmmeter makes of the volts at its sockets; set to zero with its leads together it leaves
    /// them out.
    fn ohms_trace(&self, volts: Trace) -> Trace {
        let leads = if self.bench.zeroed { LEADS_OHM } else { 0.0 };
        let shown = |volts| ohms_shown(volts) - leads;
        Trace {
            mean: shown(volts.mean),
            min: shown(volts.min),
            max: shown(volts.max),
            ..volts
        }
    }

    /// The battery's volts as things are, and then under the tester's load.
    pub(super) fn battery_test(&mut self, minutes: Minutes) -> Result<Vec<Observable>, SolveError> {
        let battery =
            |id: &ComponentId| matches!(self.vehicle.component(*id).kind, Kind::Battery { .. });
        let Some(battery) = self.vehicle.ids().find(battery) else {
            return Ok(Vec::new());
        };
        let component = self.vehicle.component(battery);
        let Some((red, black)) = component.paths.first().map(|path| (path.p, path.n)) else {
            return Ok(Vec::new());
        };
        let subject = component.id.to_string();
        let across = Probe::Voltage(red, black);
        let meter = |resistance| {
            Tester::Plain(Instrument {
                red,
                black,
                resistance,
                emf: Voltage::ZERO,
            })
        };
        self.pass(seconds(minutes) - METER_WINDOW_S - TEST_LOAD_S, None)?;
        let rest = self.held_on(meter(VOLTMETER), across, [0.0, METER_WINDOW_S])?;
        let load = self.held_on(meter(TEST_LOAD), across, [0.0, TEST_LOAD_S])?;
        self.has_taken(minutes);
        let volts = |what: &str, span: &Span| {
            observable(
                Quantity::Voltage,
                format!("{subject} {what}"),
                span.traces[0],
                Scale::Display(VOLTS),
            )
        };
        Ok(vec![
            volts("before the load", &rest),
            volts("under load", &load),
        ])
    }

    /// The circuit of the vehicle standing as it does, with these straps and plugs undone; `None` when it has no
    /// solution.
    pub(crate) fn standing(&self, undone: &[ComponentId]) -> Option<AtRest> {
        let mut setting = self.motion.setting.clone();
        for part in undone {
            setting.unplugged[part.index()] = true;
        }
        let circuit = self.motion.circuit_in(&setting, &[]);
        Some(AtRest {
            source: circuit.seen_by_meter().ok()?,
            response: circuit.response().ok()?,
        })
    }

    /// What the ohmmeter would show of it, from its circuit alone.
    pub(crate) fn ohms_at_rest(&self, red: Point, black: Point, at_rest: &AtRest) -> Observable {
        let (red_node, black_node) = (self.vehicle.node(red), self.vehicle.node(black));
        let source = at_rest.source.between(red_node, black_node).ohms();
        let open = at_rest.response.voltage(red_node, black_node).at_rest;
        let series = OHMMETER_OHM + LEADS_OHM;
        let volts = (open * series + OHMMETER_EMF.volts() * source) / (series + source);
        let subject = self.between(red, black);
        let leads = if self.bench.zeroed { LEADS_OHM } else { 0.0 };
        Observable::steady(
            Quantity::Resistance,
            subject,
            ohms_shown(volts) - leads,
            Scale::Display(OHMS),
        )
    }

    pub(super) fn clamp(
        &mut self,
        wire: ComponentId,
        minutes: Minutes,
    ) -> Result<Vec<Observable>, SolveError> {
        let span = self.clamped(wire, minutes)?;
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
            rain: false,
            helper: false,
        };
        let mut world = World::new(Arc::new(vehicle), Arc::clone(sound), conditions).unwrap();
        world.arrive().unwrap();
        world
    }

    /// With the battery's strap off the meter stands in its place: all that the vehicle draws goes through shunt and fuse,
    /// and what is too much for the fuse leaves it blown.
    #[test]
    fn a_meter_in_place_of_a_strap_carries_what_the_vehicle_draws_until_its_fuse_blows() {
        for (fault, most, blows) in [(None, 6.0, false), (Some("left-pivot.seized"), 0.0, true)] {
            let mut world = crate::world::testing::van(fault);
            let mut act = |words: &str| crate::world::testing::act(&mut world, words);
            act("unplug battery-strap");
            act("set ignition-switch on");
            act("set wiper-switch high");
            let seen = act("amps front-ground.stud battery.neg");
            let amperes = seen[0].value;
            assert_eq!(seen[0].quantity, Quantity::SeriesCurrent);
            assert!(
                amperes.abs() <= most && blows == (amperes == 0.0),
                "{amperes} A"
            );
            assert!(blows || amperes > 1.0, "{amperes} A");
            // 12.6 V over the ohm of a motor that stands would be five times as much.
            let swing = (seen[0].min, seen[0].max);
            assert!(blows || swing.1 < 2.5 * amperes, "{swing:?} A");
            assert_eq!(world.meter_blown, blows);
        }
    }

    /// A window cut anywhere, or by the mean pace of blades that drag, would give means that are per cents apart.
    #[test]
    fn what_swings_with_the_wipers_is_averaged_over_whole_turns_of_the_crank() {
        let mut world = crate::world::testing::van(Some("left-pivot.stiff:3"));
        let mut act = |words: &str| crate::world::testing::act(&mut world, words);
        act("set ignition-switch on");
        act("set wiper-switch low");
        for check in ["clamp motor-strap", "volts motor.53e battery.neg"] {
            act(check);
            let read: Vec<f64> = (0..6).map(|_| act(check)[0].value).collect();
            let least = read.iter().copied().fold(f64::INFINITY, f64::min);
            let most = read.iter().copied().fold(0.0, f64::max);
            assert!(most - least < 2e-3 * most, "{check}: {read:?}");
        }
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
                let standing = world.standing(straps).unwrap();
                let reckoned = world.ohms_at_rest(red, black, &standing);
                world.motion.setting.unplugged[strap.index()] = !straps.is_empty();
                let read = &world
                    .measure(Measurement::Ohms, red, black, Minutes::from_hundredths(80))
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
