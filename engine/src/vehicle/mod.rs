//! A vehicle as values: components of known kinds, what joins them, where they are, and what a
//! workshop's book says of them.
//!
//! A component is made of *paths* (resistances between nodes, some with an EMF, some gated by a
//! position, a cam, a plug or the shaft's angle) and of what its [`Kind`] adds to the mechanics. A
//! fault is a change to these values ([`failure`]), so nothing that runs the vehicle needs to know that
//! there are faults.

mod circuit;
mod component;
mod drive;
pub mod failure;
mod fault_name;
mod faults;
mod layout;
mod loose;
mod prior;
mod relay;
mod roles;
mod severity;
mod winding;

pub use circuit::{
    Affine, Circuit, Drift, Element, Instrument, Response, Setting, SourceResistance,
};
pub use component::{
    AlternatorData, ArmData, CamData, Component, ConsumerData, Emf, Exposure, Field, Gate,
    GearData, Kind, LinkageData, MotorData, Path, Point, PumpData, Region, Repair, SERIES_FIELD,
    SHUNT_FIELD, SLIDER, ShaftArc, Signs, Surface, TRACK, TRACK_AT, Terminal, TripData, Wear,
    WireData,
};
pub use drive::{DriveTrain, DriveTrainError, PivotLoad};
pub use failure::{Fault, Mode, ModeId};
pub use fault_name::FaultError;
pub use faults::Faults;
pub use layout::{Charges, Cover, CoverId, Layout, Place, PlaceId};
pub use loose::Loose;
pub use prior::PriorGroup;
pub use relay::{IntervalData, RelayData, Told};
pub use roles::Roles;
pub use severity::{SeverityLaw, SeverityUnit, Spread};

use crate::ident::Name;
use crate::quantity::{Resistance, Temperature};

/// Resistance of an open circuit: leakage over clean, dry insulation, so that a meter of 10 Mohm on a floating wire
/// reads a tenth of a millivolt for each open contact between it and 12.6 V. Judgement: a contact's plastic has a
/// teraohm or more; 10 Gohm would be a film of dirt, and leave 13 mV for each.
pub const OPEN: Resistance = Resistance::from_ohms(1e12);

/// The repair that changes nothing of a vehicle: no fault found, explained to the customer.
pub const EXPLAIN: &str = "explain";

/// Friction of a pivot beyond which oil and working it to and fro do not free it, newton metres
/// (judgement).
const FREED_NM_MAX: f64 = 20.0;

/// What one arc adds to a contact (judgement).
const BURNT: Resistance = Resistance::from_ohms(0.02);

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

impl Vehicle {
    /// The component with this id.
    #[must_use]
    pub fn find(&self, id: &str) -> Option<ComponentId> {
        self.components
            .iter()
            .position(|component| component.id.as_str() == id)
            .map(ComponentId)
    }

    /// Whether a component is a part, or built into it.
    pub(crate) fn is_in(&self, component: ComponentId, part: ComponentId) -> bool {
        component == part || self.component(component).part_of == Some(part)
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

    /// The connectors that take a component off its loom: those that it is the far side of, else those in the run of
    /// the loom that its own leads end in.
    #[must_use]
    pub fn plugs_of(&self, part: ComponentId) -> Vec<ComponentId> {
        let mates = |id: &ComponentId| matches!(self.component(*id).kind, Kind::Connector { mates: Some(far) } if far == part);
        let on_it: Vec<ComponentId> = self.ids().filter(mates).collect();
        if !on_it.is_empty() {
            return on_it;
        }
        let terminals = &self.component(part).terminals;
        let own = |node: Node| terminals.iter().any(|terminal| terminal.node == node);
        let leads = self.components.iter().filter(|part| part.is_conductor());
        let mut reached = Vec::new();
        for path in leads.flat_map(|lead| &lead.paths) {
            for (here, there) in [(path.p, path.n), (path.n, path.p)] {
                if own(here) {
                    reached.push(there);
                }
            }
        }
        let ends_here = |id: &ComponentId| {
            let pins = &self.component(*id).paths;
            let on_leads = |path: &Path| reached.contains(&path.p) || reached.contains(&path.n);
            matches!(self.component(*id).kind, Kind::Connector { mates: None })
                && pins.iter().all(on_leads)
        };
        self.ids().filter(ends_here).collect()
    }

    /// Whether a repair of a component, by its position there, is to explain that there is no fault.
    #[must_use]
    pub fn explains(&self, component: ComponentId, way: usize) -> bool {
        let repairs = &self.component(component).repairs;
        repairs
            .get(way)
            .is_some_and(|repair| repair.name.as_str() == EXPLAIN)
    }

    /// What the blades run on; as the weather has it where the vehicle has no windscreen.
    #[must_use]
    pub fn surface(&self) -> Surface {
        let windscreens = self
            .components
            .iter()
            .filter_map(|component| match component.kind {
                Kind::Windscreen(surface) => Some(surface),
                _ => None,
            });
        windscreens.into_iter().next().unwrap_or(Surface::AsWeather)
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

    /// Adds to a path what one arc does to its contact.
    pub(crate) fn burn(&mut self, component: ComponentId, path: usize) {
        let path = &mut self.components[component.0].paths[path];
        path.resistance = path.resistance + BURNT;
    }

    /// Parts what alternators give by: their diodes are gone.
    pub(crate) fn spoil_alternators(&mut self) {
        for part in &mut self.components {
            if matches!(part.kind, Kind::Alternator(_)) {
                for path in &mut part.paths {
                    path.resistance = OPEN;
                }
            }
        }
    }

    /// Puts `component` back to the values of `sound`, as far as a repair by this name reaches: new
    /// brushes are brushes only, freeing reaches what is not seized, and whatever else is replaced or
    /// mended is sound again with all that is built into it. Clearing takes ice off and brings no rain; what
    /// is explained stays as it is.
    pub(crate) fn restore(&mut self, component: ComponentId, repair: &str, sound: &Self) {
        let theirs = &sound.components[component.0];
        let mine = &mut self.components[component.0];
        let full = same_emf(mine, theirs);
        match (repair, &mut mine.kind) {
            ("brushes", _) => {
                for (path, sound) in mine.paths.iter_mut().zip(&theirs.paths) {
                    if sound.name.as_str().ends_with("-brush") {
                        path.clone_from(sound);
                    }
                }
            }
            ("free", Kind::Pivot { friction }) if friction.newton_metres() > FREED_NM_MAX => {}
            // Oil takes no play out of a bushing.
            ("free", Kind::Pivot { .. }) => mine.kind.clone_from(&theirs.kind),
            // The clips stay where the blade goes, and are cleaned with the blade left in.
            ("replace", Kind::Fuse(_)) => {
                mine.kind.clone_from(&theirs.kind);
                mine.paths[0].clone_from(&theirs.paths[0]);
            }
            ("mend", Kind::Fuse(_)) => mine.paths[1].clone_from(&theirs.paths[1]),
            ("clear", Kind::Windscreen(Surface::Dry { .. })) => {}
            // One that is not flat takes no charge; and what sulphate has made of its plates stays.
            ("charge", Kind::Battery(_)) if full => {}
            ("charge", Kind::Battery(_)) => {
                mine.kind.clone_from(&theirs.kind);
                mine.paths[0].clone_from(&theirs.paths[0]);
            }
            // Clamps off, brushed and on again: what is behind the posts stays as it is.
            ("mend", Kind::Battery(_)) => {
                mine.paths[1..].clone_from_slice(&theirs.paths[1..]);
                mine.signs.clone_from(&theirs.signs);
            }
            ("replace" | "mend" | "free" | "tighten" | "charge" | "clear", _) => {
                for id in sound.ids().filter(|&id| sound.is_in(id, component)) {
                    self.components[id.index()].clone_from(sound.component(id));
                }
            }
            // `explain`: the file reader lets no other name in.
            _ => {}
        }
    }
}

/// Whether two batteries have the same voltage at rest.
fn same_emf(one: &Component, other: &Component) -> bool {
    let mut pairs = one.paths.iter().zip(&other.paths);
    pairs.all(|(one, other)| one.emf == other.emf)
}
