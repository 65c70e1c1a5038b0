//! What a vehicle is composed of: kinds of components, and the paths they are made of.

use super::{ComponentId, CoverId, IntervalData, Loose, Node, PlaceId, RelayData};
use crate::ident::Name;
use crate::machines::{Eccentric, FourBar, LeadAcid, WoundField};
use crate::math;
use crate::quantity::{
    Angle, Area, Current, EmfConstant, Force, Inertia, Interval, Length, Minutes, Resistance,
    Torque, Voltage,
};

/// A place on a component where a probe can be put.
#[derive(Clone, Debug, PartialEq)]
pub struct Terminal {
    /// DIN 72552 number where there is one, else a word.
    pub name: Name,
    /// Its node.
    pub node: Node,
}

/// A terminal of a vehicle: which component, which of its terminals.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Point {
    /// The component.
    pub component: ComponentId,
    /// Position in the component's list of terminals.
    pub terminal: usize,
}

/// What drives current along a path besides the voltage across it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Emf {
    /// Nothing.
    None,
    /// A constant EMF: a battery's open-circuit voltage.
    Constant(Voltage),
    /// An EMF proportional to shaft speed: an arc of a motor's winding. Where the field is wound, the constant
    /// is that of a saturated field, and the EMF goes with the flux too.
    PerSpeed(EmfConstant),
}

impl Emf {
    /// Its constant EMF; nothing for what has none.
    #[must_use]
    pub const fn constant(&self) -> Voltage {
        match self {
            Self::Constant(volts) => *volts,
            Self::None | Self::PerSpeed(_) => Voltage::ZERO,
        }
    }
}

/// What decides whether a path conducts.
#[derive(Clone, Debug, PartialEq)]
pub enum Gate {
    /// Nothing: it always does.
    Always,
    /// The component's own control must stand at one of these positions.
    Position(Vec<usize>),
    /// The component's bimetal must not have tripped.
    Untripped,
    /// The component's armature, or what an electronic unit has in its place, must be pulled (`true`) or at
    /// rest (`false`).
    Relay {
        /// Whether the path conducts while it is pulled.
        pulled: bool,
    },
    /// The path is a diode's: it conducts from its positive node to its negative one.
    Forward,
    /// The connector must be mated, or the strap on its stud.
    Mated,
    /// The park cam must be inside (`true`) or outside (`false`) its window.
    Cam {
        /// Whether the path conducts inside the window.
        inside: bool,
    },
    /// The shaft must stand outside this arc of its turn: over it a worn brush lifts off, or a broken
    /// coil parts the ring.
    ShaftOutside(ShaftArc),
}

/// A part of the shaft's turn, the way it turns forward; it may pass through the shaft's zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShaftArc {
    /// Where it begins, from zero to less than a turn.
    pub from: Angle,
    /// Where it ends, from zero to less than a turn.
    pub to: Angle,
}

impl ShaftArc {
    /// Whether a shaft angle within one turn lies on the arc: its beginning does, its end does not.
    #[must_use]
    pub fn holds(self, shaft: Angle) -> bool {
        let (from, to, at) = (self.from.radians(), self.to.radians(), shaft.radians());
        if from <= to {
            from <= at && at < to
        } else {
            from <= at || at < to
        }
    }

    /// How much of the turn it is.
    #[must_use]
    pub fn width(self) -> Angle {
        Angle::from_radians(math::wrap_turn(self.to.radians() - self.from.radians()))
    }
}

/// A resistance between two nodes.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// Its name within the component: a pin, a contact, a brush.
    pub name: Name,
    /// Positive node.
    pub p: Node,
    /// Negative node.
    pub n: Node,
    /// Resistance when it conducts.
    pub resistance: Resistance,
    /// Its EMF.
    pub emf: Emf,
    /// When it conducts; [`OPEN`] when it does not.
    pub gate: Gate,
    /// A resistance from node `n` to the body, where insulation has worn through.
    pub to_body: Option<Resistance>,
    /// What it gives way to now and then, if to anything.
    pub loose: Option<Loose>,
}

impl Path {
    /// Whether it is copper of a motor's winding: an arc of its armature, or a field.
    #[must_use]
    pub fn is_winding(&self) -> bool {
        matches!(self.emf, Emf::PerSpeed(_))
            || [SERIES_FIELD, SHUNT_FIELD].contains(&self.name.as_str())
    }
}

/// Data of what opens by its own heat: first order, opens at 1. A self-resetting breaker (SAE J553
/// type 1) closes again at `reclose` of the trip rise, a fusible link never. The law is that of
/// [IEC 60255-8]; for a link it is an approximation of its melting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TripData {
    /// Largest current that never trips it.
    pub ultimate: Current,
    /// Thermal time constant.
    pub time_constant: Interval,
    /// Fraction of the trip rise at which it closes again; `None` for what melts.
    pub reclose: Option<f64>,
}

impl TripData {
    /// A blade fuse by its rating. It carries 15 % more than that for ever and heats as a bimetal does, which keeps
    /// its opening times at 135, 200, 350 and 600 % within the limits of [ISO 8820-3].
    #[must_use]
    pub fn blade_fuse(rating: Current) -> Self {
        Self {
            ultimate: rating * BLADE_HOLDS,
            time_constant: Interval::from_seconds(2.2),
            reclose: None,
        }
    }

    /// The rating of what is a blade fuse with these data.
    #[must_use]
    pub fn blade_rating(&self) -> Current {
        self.ultimate / BLADE_HOLDS
    }
}

/// What a blade fuse carries for ever, in terms of its rating.
const BLADE_HOLDS: f64 = 1.15;

/// What makes a motor's flux.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Field {
    /// Magnets: it is what it is.
    Magnets,
    /// Windings: it follows the current in the paths [`SERIES_FIELD`] and [`SHUNT_FIELD`].
    Wound(WoundField),
}

/// Name of the path that is a motor's series field, from D1 to D2.
pub const SERIES_FIELD: &str = "series-field";
/// Name of the path that is a motor's shunt field, from E1 to E2.
pub const SHUNT_FIELD: &str = "shunt-field";

/// Name of the path from a switch's terminal to the slider of the rheostat on its shaft.
pub const SLIDER: &str = "slider";
/// Beginning of the names of paths that are parts of a rheostat's track, from one stop of the slider to the next.
pub const TRACK: &str = "track-";
/// And of those from the slider to the track at a stop, which end with the position's name.
pub const TRACK_AT: &str = "stop-";

/// Data of a motor besides its winding, which is in the component's paths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MotorData {
    /// Inertia of armature and worm.
    pub inertia: Inertia,
    /// Coulomb friction of bearings and brushes at the shaft.
    pub coulomb: Torque,
    /// Viscous friction, newton metre seconds per radian.
    pub viscous_nms: f64,
    /// What makes its flux.
    pub field: Field,
    /// Angle of the third (high) brush from the low one; `None` where there are two brushes.
    pub third_brush: Option<Angle>,
    /// Coils of the armature, one for each segment of the commutator. The first stands at the shaft's zero.
    pub coils: u32,
    /// Share of the first coil's turns that are shorted; zero when sound.
    pub shorted: f64,
    /// Braking torque of the current in shorted turns, newton metre seconds per radian, with all its flux.
    pub shorted_nms: f64,
}

/// Data of a worm gear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GearData {
    /// Shaft turns for one turn of the wheel.
    pub ratio: f64,
    /// Efficiency with the worm driving.
    pub efficiency: f64,
    /// Whether the wheel's teeth are gone.
    pub stripped: bool,
}

/// Data of a park contact: a change-over contact worked by a cam on the wheel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CamData {
    /// Middle of the window, an angle of the wheel from the line crank centre to pivot.
    pub centre: Angle,
    /// Half the window.
    pub half_width: Angle,
}

/// A four-bar linkage and the angles it stands in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinkageData {
    /// Its proportions.
    pub four_bar: FourBar,
}

/// An arm with its blade.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArmData {
    /// Force of the blade on the glass.
    pub force: Force,
    /// Distance from pivot to the middle of the blade.
    pub radius: Length,
    /// Distance from pivot to the tip of the blade.
    pub tip: Length,
}

/// What the blades run on, besides what the weather makes of the glass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Surface {
    /// Nothing else.
    AsWeather,
    /// Ice, on the glass and in the blades.
    Iced {
        /// Coefficient of friction of the blades on it.
        friction: f64,
    },
    /// No water reaches it, whatever the weather.
    Dry {
        /// Coefficient of friction of rubber on it.
        friction: f64,
    },
}

/// A consumer other than the wipers: it shares the feed and the ground, so it tells something of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ConsumerData {
    /// Voltage at which it works as meant.
    pub rated: Voltage,
}

/// A washer's pump.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PumpData {
    /// Voltage at which it works as meant.
    pub rated: Voltage,
    /// Whether its rotor is held.
    pub seized: bool,
}

/// An alternator with its regulator. While it is worked, the engine runs and it holds its voltage behind its own
/// resistance; while it is not, its diodes block.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AlternatorData {
    /// Voltage that it regulates to.
    pub regulated: Voltage,
}

/// Data of a wire or strap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WireData {
    /// Length.
    pub length: Length,
    /// Cross-section of copper.
    pub section: Area,
}

/// What a component is. Closed: a new kind makes the compiler list every place to visit.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// A battery with terminals `pos` and `neg`; its voltage and internal resistance are in its path.
    Battery(LeadAcid),
    /// An insulated wire.
    Wire {
        /// Its copper.
        data: WireData,
        /// IEC 60757 code.
        colour: String,
        /// Whether it carries supply, so that it can short to ground.
        supply_side: bool,
    },
    /// A bare ground strap.
    Strap(WireData),
    /// A multi-pin connector.
    Connector {
        /// The component whose terminals are its far side; `None` for one in the run of a loom.
        mates: Option<ComponentId>,
    },
    /// A fusible link.
    FusibleLink(TripData),
    /// A dash ammeter.
    Ammeter,
    /// A resistor with taps.
    Resistor,
    /// A switch with named positions, which may have a rheostat on its shaft.
    Switch {
        /// Names of the positions; the first is the one at rest.
        positions: Vec<Name>,
    },
    /// A self-resetting bimetal breaker.
    Breaker(TripData),
    /// A blade fuse in its holder.
    Fuse(TripData),
    /// A relay with a coil between 86 and 85 and a change-over contact 30, 87, 87a.
    Relay(RelayData),
    /// An electronic unit that pulses a relay for wiping at intervals, and wipes after washing.
    IntervalUnit(IntervalData),
    /// A diode.
    Diode,
    /// A splice: wire ends crimped or welded together in the run of a loom.
    Splice,
    /// A washer pump, which runs while it is fed.
    Pump(PumpData),
    /// The hose from a washer pump to its jets.
    Hose {
        /// Share of the water that it lets through.
        flow: f64,
    },
    /// A motor: one with magnets and a third brush, or one with a series and a shunt field.
    Motor(MotorData),
    /// The park contact in a motor's gear housing.
    ParkContact(CamData),
    /// A worm gear.
    Gear(GearData),
    /// The nut that holds the crank on the wheel's shaft; `slip` is the torque it still carries when
    /// loose.
    CrankNut {
        /// Torque at which the crank slips; `None` when tight.
        slip: Option<Torque>,
    },
    /// Crank, drive link and rockers.
    Linkage(LinkageData),
    /// The eccentric in the crank of a motor that reverses into a depressed park.
    Eccentric(Eccentric),
    /// The link that ties the second pivot to the first.
    ConnectingLink,
    /// A pivot shaft in its bushing.
    Pivot {
        /// Friction of the bushing.
        friction: Torque,
    },
    /// An arm with its blade.
    Arm {
        /// Its proportions.
        data: ArmData,
        /// The pivot it sits on.
        pivot: ComponentId,
        /// A second pivot beside it, where an articulated arm has one: it keeps the blade upright.
        guide: Option<ComponentId>,
    },
    /// The windscreen that the blades wipe.
    Windscreen(Surface),
    /// The vehicle's body metal.
    Body,
    /// A ground point: a screw that holds ring terminals to the body.
    GroundPoint,
    /// Another consumer.
    Consumer(ConsumerData),
    /// The engine's alternator; its control is the engine.
    Alternator(AlternatorData),
}

/// Where a fault is sought: the regions of a verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Region {
    /// Battery, link, ammeter, ignition switch, breaker, fuse.
    Supply,
    /// The wiper switch, relays, the interval unit.
    Switch,
    /// Wires, connectors, splices, straps and ground points; the washer pump.
    Wiring,
    /// Motor, park contact and gear.
    Motor,
    /// Crank, links, pivots, arms; the washer's hose.
    Linkage,
    /// What brings a complaint and is no fault: ice, dry glass, a flat battery, wrong blades. A region of
    /// failure modes, wherever their components are.
    NoFault,
}

impl Region {
    /// All regions.
    pub const ALL: [Self; 6] = [
        Self::Supply,
        Self::Switch,
        Self::Wiring,
        Self::Motor,
        Self::Linkage,
        Self::NoFault,
    ];

    /// The word used in files and on screen.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Supply => "supply",
            Self::Switch => "switch",
            Self::Wiring => "wiring",
            Self::Motor => "motor",
            Self::Linkage => "linkage",
            Self::NoFault => "no-fault",
        }
    }
}

/// One way to put a component right.
#[derive(Clone, Debug, PartialEq)]
pub struct Repair {
    /// `replace`, `mend`, `brushes`, `free`, `tighten`, `charge`, `clear`, `explain`.
    pub name: Name,
    /// Labour once the component is reached.
    pub labour: Minutes,
    /// Price of parts, whole units of account.
    pub price: u32,
}

/// What an eye finds on a component, from 0 for nothing to 1 for what nobody overlooks.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Signs {
    /// Green crust on metal that is open to water and salt. It need not be in the way of the current.
    pub crust: f64,
    /// Insulation rubbed through, or strands of a strap broken.
    pub chafe: f64,
}

/// What wear and earlier work have made of a part that moves; nothing of it on a sound one.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wear {
    /// Whether a link is off its pin.
    pub off: bool,
    /// How far a crank or an arm was fitted from its mark, the way the crank turns; or by how much a bent connecting
    /// link puts the arms that hang on it out of their places.
    pub astray: Angle,
    /// Torque at which what is left of an arm's serrations slips; `None` where they hold.
    pub slips_at: Option<Torque>,
    /// Share of its length over which the rubber of an arm's blade is torn loose.
    pub torn: f64,
    /// Play: of a pivot in its bushing, at the arm; of a gear's teeth, at the wheel.
    pub play: Angle,
}

/// How the place of a component treats it: corrosion and wear come sooner where it is wet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Exposure {
    /// In the dry: cab, dash, saloon.
    Inside,
    /// Under the bonnet or a panel, warm and dirty but not splashed.
    #[default]
    Covered,
    /// Where spray and salt reach it.
    Wet,
}

impl Exposure {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Inside, Self::Covered, Self::Wet];

    /// The word used in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Inside => "inside",
            Self::Covered => "covered",
            Self::Wet => "wet",
        }
    }
}

/// A part of a vehicle.
#[derive(Clone, Debug, PartialEq)]
pub struct Component {
    /// Its id, unique in the vehicle.
    pub id: Name,
    /// What it is called on screen.
    pub title: String,
    /// What it is.
    pub kind: Kind,
    /// Where it is.
    pub place: PlaceId,
    /// What must be off before it is reached.
    pub cover: Option<CoverId>,
    /// The component it is built into, replaced along with it.
    pub part_of: Option<ComponentId>,
    /// Region of a verdict.
    pub region: Region,
    /// The word that works it, if a learner can: `key`, `wiper`.
    pub control: Option<Name>,
    /// Where probes can be put.
    pub terminals: Vec<Terminal>,
    /// What it conducts.
    pub paths: Vec<Path>,
    /// Ways to put it right.
    pub repairs: Vec<Repair>,
    /// What an eye finds on it.
    pub signs: Signs,
    /// What wear and earlier work have made of it.
    pub wear: Wear,
    /// How its place treats it.
    pub exposure: Exposure,
    /// Whether somebody has worked on it before, so that what such work leaves wrong is likelier.
    pub worked_on: bool,
}

impl Component {
    /// Names of the positions of a switch, or `off` and `on` of a consumer; empty for what is not worked.
    #[must_use]
    pub fn positions(&self) -> Vec<&str> {
        match &self.kind {
            Kind::Switch { positions } => positions.iter().map(Name::as_str).collect(),
            Kind::Consumer(_) | Kind::Alternator(_) => vec!["off", "on"],
            _ => Vec::new(),
        }
    }

    /// The terminal with this name.
    #[must_use]
    pub fn terminal(&self, name: &str) -> Option<usize> {
        self.terminals
            .iter()
            .position(|terminal| terminal.name.as_str() == name)
    }

    /// The path with this name.
    #[must_use]
    pub fn path(&self, name: &str) -> Option<&Path> {
        self.paths.iter().find(|path| path.name.as_str() == name)
    }

    /// Whether its joints lie open to water and salt.
    #[must_use]
    pub const fn crusts(&self) -> bool {
        matches!(
            self.kind,
            Kind::Connector { .. } | Kind::GroundPoint | Kind::Strap(_) | Kind::Battery(_)
        )
    }

    /// Whether the workshop has a known good one of its kind, to stand in for it whole.
    #[must_use]
    pub const fn has_replacement(&self) -> bool {
        matches!(
            self.kind,
            Kind::Breaker(_)
                | Kind::FusibleLink(_)
                | Kind::Fuse(_)
                | Kind::Switch { .. }
                | Kind::Relay(_)
                | Kind::IntervalUnit(_)
                | Kind::Ammeter
        )
    }

    /// Whether it is wire or strap, whose ends are other components' terminals.
    #[must_use]
    pub const fn is_conductor(&self) -> bool {
        matches!(self.kind, Kind::Wire { .. } | Kind::Strap(_))
    }
}
