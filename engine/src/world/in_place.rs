//! How a motor is proven where it is: with its plug off, fused leads at its own terminals, ground first and the
//! battery last (common practice, no published source).
//!
//! Its ground goes by a lead to the far end of the battery's ground strap, so that every ampere of it comes back
//! through that strap, where a clamp reads it whole, however good the motor's own ground is.

use super::{Action, Measurement};
use crate::vehicle::{Component, ComponentId, Kind, Point, Vehicle};

/// One test of a motor in place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InPlaceTest {
    /// What the motor does: `low`, `high` or `park`.
    pub name: &'static str,
    /// What comes before the leads: the plugs off; for `park`, blades out on the glass.
    pub before: Vec<Action>,
    /// The leads in the order in which they go on, the end named first before the other.
    pub leads: Vec<(Point, Point)>,
}

impl InPlaceTest {
    /// Whether it ends with the blades home instead of running on.
    #[must_use]
    pub fn parks(&self) -> bool {
        self.name == PARK
    }

    /// All that is done before the motor is watched.
    #[must_use]
    pub fn actions(&self) -> Vec<Action> {
        let mut all = self.before.clone();
        all.extend(self.leads.iter().copied().map(lead));
        all
    }
}

/// A way of the park contact under the load lamp: what burns in it passes no current once the motor is home, and the
/// lamp draws some through it while it stands. Where the common end is inside the motor, the lamp goes in the feed and
/// the armature is its ground: without a field it takes the current standing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InPlaceHeld {
    /// What comes before the lamp: plugs, leads, the blades where they are wanted.
    pub before: Vec<Action>,
    /// The leads that are on then.
    pub leads: Vec<(Point, Point)>,
    /// Where the lamp goes.
    pub lamp: (Point, Point),
}

impl InPlaceHeld {
    /// The lamp held on.
    #[must_use]
    pub const fn action(&self) -> Action {
        Action::Measure {
            what: Measurement::Load,
            red: self.lamp.0,
            black: self.lamp.1,
        }
    }
}

/// The motor held by an arm on its slow leads, until what is built into it opens.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InPlaceStall {
    /// What comes before: the plugs off, the leads on.
    pub before: Vec<Action>,
    /// The arm.
    pub arm: ComponentId,
    /// What opens.
    pub cut_out: ComponentId,
}

impl InPlaceStall {
    /// The arm held.
    #[must_use]
    pub const fn action(&self) -> Action {
        Action::Hold(self.arm)
    }
}

/// The tests of a vehicle's motor in place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InPlace {
    /// The motor.
    pub motor: ComponentId,
    /// The strap through which all its current comes back.
    pub clamped: ComponentId,
    /// Whether its field is wound: its high is then the series field alone, with the shunt not fed, which shows each
    /// winding by itself. It is never run so with the linkage off.
    pub wound: bool,
    /// The tests.
    pub tests: Vec<InPlaceTest>,
    /// The park contact by its feed, out on the glass, and where its common end is a terminal by its ground, at home.
    pub held: Vec<InPlaceHeld>,
    /// The cut-out that is built into it, where one is.
    pub stall: Option<InPlaceStall>,
}

const PARK: &str = "park";

const fn lead((first, second): (Point, Point)) -> Action {
    Action::Jumper { first, second }
}

/// The battery's positive post, the strap from its negative one, and the ground that the strap goes to.
fn posts(vehicle: &Vehicle) -> Option<(Point, ComponentId, Point)> {
    let battery = vehicle
        .ids()
        .find(|&id| matches!(vehicle.component(id).kind, Kind::Battery { .. }))?;
    let clamp = |name: &str| {
        let terminal = vehicle.component(battery).terminal(name)?;
        Some(Point {
            component: battery,
            terminal,
        })
    };
    let (positive, negative) = (clamp("pos")?, vehicle.node(clamp("neg")?));
    vehicle.ids().find_map(|strap| {
        let part = vehicle.component(strap);
        let path = part.paths.first().filter(|_| part.is_conductor())?;
        let far = match () {
            () if path.p == negative => path.n,
            () if path.n == negative => path.p,
            () => return None,
        };
        let stud = vehicle.points().find(|&point| {
            matches!(vehicle.component(point.component).kind, Kind::GroundPoint)
                && vehicle.node(point) == far
        })?;
        Some((positive, strap, stud))
    })
}

impl Vehicle {
    /// How its motor is tested in place, by the standard names of its terminals; `None` where it has others.
    #[must_use]
    pub fn in_place(&self) -> Option<InPlace> {
        let motor = self
            .ids()
            .find(|&id| matches!(self.component(id).kind, Kind::Motor(_)))?;
        let at = |name: &str| {
            let terminal = self.component(motor).terminal(name)?;
            Some(Point {
                component: motor,
                terminal,
            })
        };
        let (battery, clamped, ground) = posts(self)?;
        let case = at("31").map(|case| (case, ground));
        let with = |leads: &[(Point, Point)]| -> Vec<(Point, Point)> {
            case.into_iter().chain(leads.iter().copied()).collect()
        };
        let feed = at("53a")?;
        let fields = at("d1").zip(at("e1")).zip(at("e2"));
        let (running, home) = if let Some(((series, shunt), back)) = fields {
            // Both fields by one lead from the battery, so that it never races on one of them nor stands with the other
            // fed; home by the park contact with both turned round.
            (
                vec![
                    (
                        "low",
                        with(&[(back, ground), (shunt, series), (series, battery)]),
                    ),
                    ("high", with(&[(series, battery)])),
                ],
                with(&[(series, back), (shunt, ground), (feed, battery)]),
            )
        } else {
            let (low, high) = (at("53")?, at("53b")?);
            let (speeds, home) = if let Some(back) = at("31b") {
                // Turned round it runs backward: the park contact feeds 31b, and 53 is its ground.
                let fed = |at| vec![(back, ground), (at, battery)];
                ((fed(low), fed(high)), vec![(low, ground), (feed, battery)])
            } else {
                let fed = |at| vec![(at, battery)];
                let tie = (at("53e")?, low);
                ((fed(low), fed(high)), vec![tie, (feed, battery)])
            };
            let running = match at("31b") {
                Some(_) => vec![("low", speeds.0), ("high", speeds.1)],
                None => vec![("low", with(&speeds.0)), ("high", with(&speeds.1))],
            };
            (running, with(&home))
        };
        let plugs: Vec<Action> = self
            .plugs_of(motor)
            .into_iter()
            .map(Action::Unplug)
            .collect();
        // Where the low test leaves it once the feed comes off: out on the glass.
        let mut out = plugs.clone();
        if let Some((_, leads)) = running.first() {
            out.extend(leads.iter().copied().map(lead));
            let off = (0..leads.len()).map(|place| Action::RemoveJumper {
                at_mid_glass: place == 0,
            });
            out.extend(off);
        }
        let mut tests: Vec<InPlaceTest> = running
            .into_iter()
            .map(|(name, leads)| InPlaceTest {
                name,
                before: plugs.clone(),
                leads,
            })
            .collect();
        let stall = self.stall(motor, tests.first());
        let common = at("31b").or_else(|| at("53e"));
        let with = |more: Vec<Action>| out.iter().cloned().chain(more).collect();
        let held = case.map_or_else(Vec::new, |case| match common {
            Some(common) => {
                let by_feed = InPlaceHeld {
                    before: with(vec![lead((feed, battery))]),
                    leads: vec![(feed, battery)],
                    lamp: (common, ground),
                };
                // Home, and all leads off but the first, that of the case.
                let mut ran: Vec<Action> = home.iter().copied().map(lead).collect();
                ran.extend((1..home.len()).map(|_| Action::RemoveJumper {
                    at_mid_glass: false,
                }));
                let by_ground = InPlaceHeld {
                    before: with(ran),
                    leads: vec![case],
                    lamp: (battery, common),
                };
                vec![by_feed, by_ground]
            }
            None => vec![InPlaceHeld {
                before: with(vec![lead(case)]),
                leads: vec![case],
                lamp: (battery, feed),
            }],
        });
        tests.push(InPlaceTest {
            name: PARK,
            before: out,
            leads: home,
        });
        Some(InPlace {
            motor,
            clamped,
            wound: fields.is_some(),
            tests,
            held,
            stall,
        })
    }

    /// How the cut-out that is built into a motor is tried, on the leads of a test that runs on.
    fn stall(&self, motor: ComponentId, running: Option<&InPlaceTest>) -> Option<InPlaceStall> {
        let of =
            |wanted: &dyn Fn(&Component) -> bool| self.ids().find(|&id| wanted(self.component(id)));
        let built_in =
            |part: &Component| matches!(part.kind, Kind::Breaker(_)) && part.part_of == Some(motor);
        Some(InPlaceStall {
            before: running?.actions(),
            arm: of(&|part| matches!(part.kind, Kind::Arm { .. }))?,
            cut_out: of(&built_in)?,
        })
    }
}

#[cfg(test)]
mod tests {
    use crate::file::read_vehicle;

    #[test]
    fn grounds_go_on_first_and_the_battery_last() {
        let text = include_str!("../../../scenarios/sedan-reversing.toml");
        let (vehicle, _warnings) = read_vehicle(text).unwrap();
        let plan = vehicle.in_place().unwrap();
        let name = |point| vehicle.point_name(point);
        let told: Vec<String> = plan
            .tests
            .iter()
            .map(|test| {
                let leads = test.leads.iter();
                let leads =
                    leads.map(|&(first, second)| format!("{}>{}", name(first), name(second)));
                format!("{}: {}", test.name, leads.collect::<Vec<_>>().join(", "))
            })
            .collect();
        assert_eq!(
            told,
            [
                "low: motor 31b>front-ground stud, motor 53>battery pos",
                "high: motor 31b>front-ground stud, motor 53b>battery pos",
                "park: motor 31>front-ground stud, motor 53>front-ground stud, motor 53a>battery pos",
            ]
        );
    }
}
