//! A vehicle as values: components of known kinds, what joins them, where they are, and what a
//! workshop's book says of them.
//!
//! A component is made of *paths* (resistances between nodes, some with an EMF, some gated by a
//! position, a cam, a plug or a brush that lifts) and of what its [`Kind`] adds to the mechanics. A
//! fault is a change to these values ([`failure`]), so nothing that runs the vehicle needs to know that
//! there are faults.

mod circuit;
pub mod failure;
mod layout;

pub use circuit::{Affine, Circuit, Element, Instrument, Response, Setting};
pub use failure::{Fault, FaultError, Mode, ModeId};
pub use layout::{Charges, Cover, CoverId, Layout, Place, PlaceId};

use crate::ident::Name;
use crate::machines::{FourBar, FourBarError};
use crate::quantity::{
    Angle, Area, Current, EmfConstant, Force, Inertia, Interval, Length, Minutes, Resistance,
    Temperature, Torque, Voltage,
};

/// Resistance of an open circuit: insulation leakage, so that a voltmeter on a floating wire reads as a
/// meter does (0.01 V). Engineering estimate, no published source.
pub const OPEN: Resistance = Resistance::from_ohms(1e10);

/// Friction of a pivot beyond which oil and working it to and fro do not free it, newton metres
/// (judgement).
const FREED_NM_MAX: f64 = 20.0;

/// Which component of a vehicle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ComponentId(pub(crate) usize);

impl ComponentId {
    /// Position in [`Vehicle::components`].
    #[must_use]
    pub const fn index(self) -> usize {
        self.0
    }
}

/// A node of the vehicle's circuit. Node 0 is the reference, the battery's negative post.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Node(pub(crate) usize);

impl Node {
    /// The battery's negative post.
    pub const REFERENCE: Self = Self(0);

    /// Position in a list of potentials.
    #[must_use]
    pub const fn index(self) -> usize {
        self.0
    }
}

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
    /// An EMF proportional to shaft speed: an arc of a motor's winding.
    PerSpeed(EmfConstant),
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
    /// The connector must be mated.
    Mated,
    /// The park cam must be inside (`true`) or outside (`false`) its window.
    Cam {
        /// Whether the path conducts inside the window.
        inside: bool,
    },
    /// The shaft must stand outside the arc, from zero, over which a worn brush lifts off.
    BrushDown {
        /// The arc, from the shaft's zero, a part of one turn.
        lifted: Angle,
    },
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

/// Mechanical data of a motor; its winding is in the component's paths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MotorData {
    /// Inertia of armature and worm.
    pub inertia: Inertia,
    /// Coulomb friction of bearings and brushes at the shaft.
    pub coulomb: Torque,
    /// Viscous friction, newton metre seconds per radian.
    pub viscous_nms: f64,
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

/// A consumer other than the wipers: it shares the feed and the ground, so it tells something of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ConsumerData {
    /// Voltage at which it works as meant.
    pub rated: Voltage,
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
    /// A battery with terminals `pos` and `neg`.
    Battery,
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
    /// A switch with named positions.
    Switch {
        /// Names of the positions; the first is the one at rest.
        positions: Vec<Name>,
    },
    /// A self-resetting bimetal breaker.
    Breaker(TripData),
    /// A permanent-magnet motor with a third brush.
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
    },
    /// The vehicle's body metal.
    Body,
    /// A ground point: a screw that holds ring terminals to the body.
    GroundPoint,
    /// Another consumer.
    Consumer(ConsumerData),
}

/// Where a fault is sought: the regions of a verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Region {
    /// Battery, link, ammeter, ignition switch, breaker.
    Supply,
    /// The wiper switch.
    Switch,
    /// Wires, connectors, straps and ground points.
    Wiring,
    /// Motor, park contact and gear.
    Motor,
    /// Crank, links, pivots, arms.
    Linkage,
}

impl Region {
    /// The word used in files and on screen.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Supply => "supply",
            Self::Switch => "switch",
            Self::Wiring => "wiring",
            Self::Motor => "motor",
            Self::Linkage => "linkage",
        }
    }
}

/// One way to put a component right.
#[derive(Clone, Debug, PartialEq)]
pub struct Repair {
    /// `replace`, `mend`, `brushes`, `free`, `tighten`.
    pub name: Name,
    /// Labour once the component is reached.
    pub labour: Minutes,
    /// Price of parts, whole units of account.
    pub price: u32,
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
}

impl Component {
    /// Names of the positions of a switch, or `off` and `on` of a consumer; empty for what is not worked.
    #[must_use]
    pub fn positions(&self) -> Vec<&str> {
        match &self.kind {
            Kind::Switch { positions } => positions.iter().map(Name::as_str).collect(),
            Kind::Consumer(_) => vec!["off", "on"],
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

    /// Whether it is wire or strap, whose ends are other components' terminals.
    #[must_use]
    pub const fn is_conductor(&self) -> bool {
        matches!(self.kind, Kind::Wire { .. } | Kind::Strap(_))
    }
}

/// A line of the workshop's book.
#[derive(Clone, Debug, PartialEq)]
pub struct BookEntry {
    /// Heading.
    pub topic: String,
    /// Text.
    pub text: String,
}

/// A vehicle, sound or not.
#[derive(Clone, Debug, PartialEq)]
pub struct Vehicle {
    /// Its id.
    pub id: Name,
    /// What it is called on screen.
    pub title: String,
    /// Age, which weighs the faults it is likely to have.
    pub age_years: u32,
    /// Temperature of copper and glass.
    pub ambient: Temperature,
    /// Its parts, in the order of the file.
    pub components: Vec<Component>,
    /// What each node is called, by node index; the reference is 0.
    pub node_names: Vec<String>,
    /// The body's node.
    pub body: Node,
    /// Places, covers and charges.
    pub layout: Layout,
    /// What a workshop's book says beyond what can be computed.
    pub book: Vec<BookEntry>,
}

/// The mechanics of a vehicle: one motor and what it moves.
#[derive(Clone, Debug, PartialEq)]
pub struct DriveTrain {
    /// The motor.
    pub motor: MotorData,
    /// Its gear.
    pub gear: GearData,
    /// Torque the crank joint carries before it slips; `None` when tight.
    pub crank_slip: Option<Torque>,
    /// The linkage.
    pub linkage: FourBar,
    /// The window of the park cam.
    pub cam: CamData,
    /// Pivots in the order of the file: the drive link moves the first, a connecting link the others.
    pub pivots: Vec<PivotLoad>,
}

/// What one pivot has to move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PivotLoad {
    /// The pivot.
    pub pivot: ComponentId,
    /// The arm on it.
    pub arm: ComponentId,
    /// Friction of the bushing.
    pub friction: Torque,
    /// The arm.
    pub data: ArmData,
}

/// Why a vehicle's mechanics cannot move.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DriveTrainError {
    /// A kind that a drive needs exactly one of.
    #[error("a drive needs exactly one {0}")]
    NeedsOne(&'static str),
    /// A pivot without an arm, or with several.
    #[error("each pivot carries exactly one arm")]
    PivotWithoutArm,
    /// Proportions that do not turn.
    #[error(transparent)]
    Linkage(#[from] FourBarError),
}

impl Vehicle {
    /// The component with this id.
    #[must_use]
    pub fn find(&self, id: &str) -> Option<ComponentId> {
        self.components
            .iter()
            .position(|component| component.id.as_str() == id)
            .map(ComponentId)
    }

    /// A component.
    ///
    /// # Panics
    /// When the id belongs to another vehicle.
    #[must_use]
    pub fn component(&self, id: ComponentId) -> &Component {
        &self.components[id.0]
    }

    /// All ids, in the order of the file.
    pub fn ids(&self) -> impl Iterator<Item = ComponentId> + use<> {
        (0..self.components.len()).map(ComponentId)
    }

    /// The node of a point.
    ///
    /// # Panics
    /// When the point belongs to another vehicle.
    #[must_use]
    pub fn node(&self, point: Point) -> Node {
        self.components[point.component.0].terminals[point.terminal].node
    }

    /// Every point a probe can be put on, in the order of the file.
    pub fn points(&self) -> impl Iterator<Item = Point> + '_ {
        self.ids().flat_map(|component| {
            (0..self.component(component).terminals.len()).map(move |terminal| Point {
                component,
                terminal,
            })
        })
    }

    /// `component terminal`, as shown and typed.
    #[must_use]
    pub fn point_name(&self, point: Point) -> String {
        let component = self.component(point.component);
        format!(
            "{} {}",
            component.id, component.terminals[point.terminal].name
        )
    }

    /// The point whose node is `node`, preferring the first in the file.
    #[must_use]
    pub fn point_at(&self, node: Node) -> Option<Point> {
        self.points().find(|&point| self.node(point) == node)
    }

    /// Components worked by a word, in the order of the file.
    pub fn controls(&self) -> impl Iterator<Item = (ComponentId, &Component)> {
        self.ids()
            .map(|id| (id, self.component(id)))
            .filter(|(_, component)| component.control.is_some())
    }

    /// The component worked by `word`.
    #[must_use]
    pub fn control(&self, word: &str) -> Option<ComponentId> {
        self.controls()
            .find(|(_, component)| {
                component
                    .control
                    .as_ref()
                    .is_some_and(|name| name.as_str() == word)
            })
            .map(|(id, _)| id)
    }

    /// The mechanics, or `None` for a vehicle without a motor.
    ///
    /// # Errors
    /// [`DriveTrainError`] when a motor lacks what it needs to move blades.
    pub fn drive_train(&self) -> Result<Option<DriveTrain>, DriveTrainError> {
        let motor = self.one("motor", |kind| match kind {
            Kind::Motor(data) => Some(*data),
            _ => None,
        });
        let Ok(motor) = motor else {
            let motors = self
                .components
                .iter()
                .filter(|c| matches!(c.kind, Kind::Motor(_)))
                .count();
            return if motors == 0 {
                Ok(None)
            } else {
                motor.map(|_| None)
            };
        };
        let gear = self.one("gear", |kind| match kind {
            Kind::Gear(data) => Some(*data),
            _ => None,
        })?;
        let crank_slip = self.one("crank nut", |kind| match kind {
            Kind::CrankNut { slip } => Some(*slip),
            _ => None,
        })?;
        let linkage = self.one("linkage", |kind| match kind {
            Kind::Linkage(data) => Some(data.four_bar),
            _ => None,
        })?;
        let cam = self.one("park contact", |kind| match kind {
            Kind::ParkContact(data) => Some(*data),
            _ => None,
        })?;
        linkage.check()?;
        let pivots = self
            .ids()
            .filter_map(|pivot| match self.component(pivot).kind {
                Kind::Pivot { friction } => Some(self.pivot_load(pivot, friction)),
                _ => None,
            })
            .collect::<Result<Vec<_>, _>>()?;
        Ok(Some(DriveTrain {
            motor,
            gear,
            crank_slip,
            linkage,
            cam,
            pivots,
        }))
    }

    fn pivot_load(
        &self,
        pivot: ComponentId,
        friction: Torque,
    ) -> Result<PivotLoad, DriveTrainError> {
        let mut arms = self.ids().filter_map(|arm| match self.component(arm).kind {
            Kind::Arm { data, pivot: on } if on == pivot => Some((arm, data)),
            _ => None,
        });
        match (arms.next(), arms.next()) {
            (Some((arm, data)), None) => Ok(PivotLoad {
                pivot,
                arm,
                friction,
                data,
            }),
            _ => Err(DriveTrainError::PivotWithoutArm),
        }
    }

    fn one<T>(
        &self,
        what: &'static str,
        take: impl Fn(&Kind) -> Option<T>,
    ) -> Result<T, DriveTrainError> {
        let mut found = self
            .components
            .iter()
            .filter_map(|component| take(&component.kind));
        match (found.next(), found.next()) {
            (Some(one), None) => Ok(one),
            _ => Err(DriveTrainError::NeedsOne(what)),
        }
    }

    /// Puts `component` back to the values of `sound`, as far as a repair by this name reaches: new
    /// brushes are brushes only, freeing reaches what is not seized, and whatever else is replaced or
    /// mended is sound again with all that is built into it.
    pub(crate) fn restore(&mut self, component: ComponentId, repair: &str, sound: &Self) {
        let theirs = &sound.components[component.0];
        let mine = &mut self.components[component.0];
        match (repair, &mut mine.kind) {
            ("brushes", _) => {
                for (path, sound) in mine.paths.iter_mut().zip(&theirs.paths) {
                    if sound.name.as_str().ends_with("-brush") {
                        path.clone_from(sound);
                    }
                }
            }
            ("free", Kind::Pivot { friction }) if friction.newton_metres() > FREED_NM_MAX => {}
            _ => {
                for (id, theirs) in sound.components.iter().enumerate() {
                    if id == component.0 || theirs.part_of == Some(component) {
                        self.components[id].clone_from(theirs);
                    }
                }
            }
        }
    }
}
