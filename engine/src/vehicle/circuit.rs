//! A vehicle's circuit in one setting of its switches, plugs, breakers, cam and shaft, as a network.
//!
//! The network is linear and its only source that changes while the setting stands is the motor's
//! EMF, proportional to shaft speed. So every potential and current is *affine in the speed*, and two
//! solutions (batteries alone, unit speed alone) say everything: [`Response`]. Where the motor's field is wound,
//! the EMF goes with its flux too, and what is affine in the speed is so in flux times speed:
//! [`Response::at_flux`].

use std::sync::Arc;

use super::{ComponentId, Emf, Gate, Node, OPEN, Path, ShaftArc, Vehicle};
use crate::network::{BranchId, Elimination, Network, NodeId, SolveError};
use crate::quantity::{AngularVelocity, Current, Resistance, Torque, Voltage};

/// Everything that decides which paths conduct. Lists are by component index.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Setting {
    /// Position of each control; 0 for what is none.
    pub positions: Vec<usize>,
    /// Whether each breaker has tripped.
    pub tripped: Vec<bool>,
    /// Whether each connector is unplugged.
    pub unplugged: Vec<bool>,
    /// Whether each relay's armature is pulled, each interval unit's output on, each diode conducting.
    pub pulled: Vec<bool>,
    /// Whether the park cam is inside its window.
    pub cam_inside: bool,
    /// Whether the shaft stands on each of the arcs over which a path is open, in the order of
    /// [`Vehicle::shaft_arcs`].
    pub on_arcs: Vec<bool>,
    /// Whether each path that can give way has done so, in the order of [`Vehicle::loose_paths`].
    pub parted: Vec<bool>,
}

impl Setting {
    /// Every control at rest, every plug mated, nothing tripped or parted, blades parked, the shaft on no arc.
    #[must_use]
    pub fn at_rest(vehicle: &Vehicle) -> Self {
        let count = vehicle.components.len();
        Self {
            positions: vec![0; count],
            tripped: vec![false; count],
            unplugged: vec![false; count],
            pulled: vec![false; count],
            cam_inside: true,
            on_arcs: vec![false; vehicle.shaft_arcs().len()],
            parted: vec![false; vehicle.loose_paths().count()],
        }
    }
}

/// An instrument on the circuit: a resistance with an EMF, from its red lead to its black one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Instrument {
    /// Node of the red lead.
    pub red: Node,
    /// Node of the black lead.
    pub black: Node,
    /// Resistance between the leads.
    pub resistance: Resistance,
    /// EMF of its own source, red over black.
    pub emf: Voltage,
}

/// A branch of the circuit and where it comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Element {
    /// Component and path, or `None` for an instrument.
    pub origin: Option<(ComponentId, usize)>,
    /// Whether it is the path's leak to the body rather than the path itself.
    pub leak: bool,
    /// Positive node.
    pub p: Node,
    /// Negative node.
    pub n: Node,
    /// Its resistance in this setting.
    pub resistance: Resistance,
    /// Its EMF.
    pub emf: Emf,
}

/// What heat and charge have made of some values of a vehicle for the time being; nothing when it is cold and rested.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drift {
    /// Motors, with the resistance of their copper in terms of what it is cold.
    pub warm: Vec<(ComponentId, f64)>,
    /// Batteries, with their surface charge.
    pub charged: Vec<(ComponentId, Voltage)>,
}

impl Drift {
    /// A path's resistance and EMF with it.
    fn of(&self, id: ComponentId, path: &Path) -> (Resistance, Emf) {
        let warm = self.warm.iter().find(|(motor, _)| *motor == id);
        let warm = warm.filter(|_| path.is_winding());
        let charged = self.charged.iter().find(|(battery, _)| *battery == id);
        let emf = match (path.emf, charged) {
            (Emf::Constant(volts), Some((_, surface))) => Emf::Constant(volts + *surface),
            (emf, _) => emf,
        };
        let factor = warm.map_or(1.0, |(_, factor)| *factor);
        (path.resistance * factor, emf)
    }
}

/// A vehicle's circuit in one setting.
#[derive(Clone, Debug)]
pub struct Circuit {
    network: Network,
    nodes: Vec<NodeId>,
    elements: Vec<Element>,
}

/// What a meter sees between two nodes of a circuit: Thévenin's resistance.
#[derive(Clone, Debug)]
pub struct SourceResistance {
    elimination: Elimination,
    nodes: Vec<NodeId>,
}

impl SourceResistance {
    /// The resistance between two nodes with all EMFs at zero.
    ///
    /// # Panics
    /// When a node belongs to another vehicle.
    #[must_use]
    pub fn between(&self, red: Node, black: Node) -> Resistance {
        let mut injected = vec![0.0; self.nodes.len()];
        injected[self.nodes[red.0].index()] += 1.0;
        injected[self.nodes[black.0].index()] -= 1.0;
        let potentials = self.elimination.potentials(injected);
        Resistance::from_ohms(
            potentials[self.nodes[red.0].index()] - potentials[self.nodes[black.0].index()],
        )
    }
}

/// How a circuit answers as the shaft turns: everything is affine in the speed.
#[derive(Clone, Debug)]
pub struct Response {
    /// Potentials in volts with the shaft at rest, by node index.
    at_rest: Vec<f64>,
    /// Change of each potential in volts for each rad/s.
    per_speed: Vec<f64>,
    /// Change of each potential in volts for each ampere that a load between two nodes draws; empty where
    /// none was asked for.
    per_ampere: Vec<f64>,
    elements: Arc<[Element]>,
}

/// A quantity that is `at_rest + per_speed * speed`, in the units of its context.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Affine {
    /// Value with the shaft at rest.
    pub at_rest: f64,
    /// Change for each rad/s.
    pub per_speed: f64,
}

impl Affine {
    /// The value at a shaft speed in rad/s.
    #[must_use]
    pub const fn at(self, speed: f64) -> f64 {
        self.at_rest + self.per_speed * speed
    }
}

impl Vehicle {
    /// The arcs of shaft angle over which paths are open, in the order of components and paths.
    #[must_use]
    pub fn shaft_arcs(&self) -> Vec<ShaftArc> {
        let paths = self
            .components
            .iter()
            .flat_map(|component| &component.paths);
        paths
            .filter_map(|path| match path.gate {
                Gate::ShaftOutside(arc) => Some(arc),
                _ => None,
            })
            .collect()
    }
}

impl Circuit {
    /// The circuit of `vehicle` in `setting`, with `instruments` on it.
    #[must_use]
    pub fn new(vehicle: &Vehicle, setting: &Setting, instruments: &[Instrument]) -> Self {
        Self::drifted(vehicle, setting, instruments, &Drift::default())
    }

    /// The circuit of `vehicle` in `setting`, with `instruments` on it, as heat and charge have made it.
    #[must_use]
    pub fn drifted(
        vehicle: &Vehicle,
        setting: &Setting,
        instruments: &[Instrument],
        drift: &Drift,
    ) -> Self {
        let mut network = Network::new();
        let nodes: Vec<NodeId> = (0..vehicle.node_names.len())
            .map(|node| {
                if node == 0 {
                    NodeId::REFERENCE
                } else {
                    network.add_node()
                }
            })
            .collect();
        let mut circuit = Self {
            network,
            nodes,
            elements: Vec::new(),
        };
        let (mut arc, mut weak) = (0, 0);
        for id in vehicle.ids() {
            for (index, path) in vehicle.component(id).paths.iter().enumerate() {
                let conducts = match &path.gate {
                    Gate::Always => true,
                    Gate::Position(closed) => closed.contains(&setting.positions[id.0]),
                    Gate::Untripped => !setting.tripped[id.0],
                    Gate::Mated => !setting.unplugged[id.0],
                    Gate::Relay { pulled } => *pulled == setting.pulled[id.0],
                    Gate::Forward => setting.pulled[id.0],
                    Gate::Cam { inside } => *inside == setting.cam_inside,
                    Gate::ShaftOutside(_) => {
                        arc += 1;
                        !setting.on_arcs[arc - 1]
                    }
                };
                let gave_way = path.loose.filter(|_| {
                    weak += 1;
                    setting.parted[weak - 1]
                });
                let conducts = conducts && !gave_way.is_some_and(|loose| loose.opens());
                let (resistance, emf) = drift.of(id, path);
                let resistance = if conducts { resistance } else { OPEN };
                let origin = Some((id, index));
                let (p, n) = (path.p, path.n);
                let blocks = !conducts && path.gate == Gate::Forward;
                let emf = if blocks { Emf::None } else { emf };
                circuit.add(Element {
                    origin,
                    leak: false,
                    p,
                    n,
                    resistance,
                    emf,
                });
                let wet = gave_way.and_then(|loose| loose.leak());
                for resistance in path.to_body.into_iter().chain(wet) {
                    circuit.add(Element {
                        origin,
                        leak: true,
                        p: n,
                        n: vehicle.body,
                        resistance,
                        emf: Emf::None,
                    });
                }
            }
        }
        for instrument in instruments {
            circuit.add(Element {
                origin: None,
                leak: false,
                p: instrument.red,
                n: instrument.black,
                resistance: instrument.resistance,
                emf: Emf::Constant(instrument.emf),
            });
        }
        circuit
    }

    fn add(&mut self, element: Element) -> BranchId {
        let emf = match element.emf {
            Emf::Constant(emf) => emf,
            Emf::None | Emf::PerSpeed(_) => Voltage::ZERO,
        };
        let (p, n) = (self.nodes[element.p.0], self.nodes[element.n.0]);
        self.elements.push(element);
        self.network
            .add_branch(p, n, element.resistance.to_conductance(), emf)
    }

    /// The branches, in the order of components and paths, instruments last.
    #[must_use]
    pub fn elements(&self) -> &[Element] {
        &self.elements
    }

    /// The circuit with all nodes removed, for the resistance that a meter sees between two of them.
    ///
    /// # Errors
    /// [`SolveError`] when the network has no solution.
    pub fn seen_by_meter(&self) -> Result<SourceResistance, SolveError> {
        Ok(SourceResistance {
            elimination: self.network.eliminate()?,
            nodes: self.nodes.clone(),
        })
    }

    /// The current of element `of` for one volt of each EMF of a winding by itself, by element.
    ///
    /// # Errors
    /// [`SolveError`] when the network has no solution.
    ///
    /// # Panics
    /// When there is no such element.
    pub fn amperes_per_volt(&self, of: usize) -> Result<Vec<(usize, f64)>, SolveError> {
        let elimination = self.network.eliminate()?;
        let element = &self.elements[of];
        let siemens = element.resistance.to_conductance().siemens();
        let arcs = self.elements.iter().enumerate();
        let arcs = arcs.filter(|(_, element)| matches!(element.emf, Emf::PerSpeed(_)));
        let of_arc = |(arc, _): (usize, &Element)| {
            let one = Voltage::from_volts(1.0);
            let injected = self.network.injections(|branch, _| {
                if branch.index() == arc {
                    one
                } else {
                    Voltage::ZERO
                }
            });
            let potentials = elimination.potentials(injected);
            let volts = potentials[self.nodes[element.p.0].index()]
                - potentials[self.nodes[element.n.0].index()];
            let emf = if arc == of { 1.0 } else { 0.0 };
            (arc, siemens * (volts - emf))
        };
        Ok(arcs.map(of_arc).collect())
    }

    /// Solves the circuit for every shaft speed at once.
    ///
    /// # Errors
    /// [`SolveError`] when the network has no solution.
    pub fn response(self) -> Result<Response, SolveError> {
        self.response_to_load(None)
    }

    /// Solves the circuit for every shaft speed at once, and for any current that a load draws from one node
    /// to another: [`Response::loaded`] then puts a resistance there without solving again.
    ///
    /// # Errors
    /// [`SolveError`] when the network has no solution.
    pub fn response_to_load(self, load: Option<(Node, Node)>) -> Result<Response, SolveError> {
        let elimination: Elimination = self.network.eliminate()?;
        let at_rest = elimination.potentials(self.network.injections(|_, branch| branch.emf));
        let unit = AngularVelocity::from_radians_per_second(1.0);
        let turning =
            self.network
                .injections(|branch, _| match self.elements[branch.index()].emf {
                    Emf::PerSpeed(constant) => constant * unit,
                    Emf::None | Emf::Constant(_) => Voltage::ZERO,
                });
        let per_speed = elimination.potentials(turning);
        let per_ampere = load.map_or_else(Vec::new, |(red, black)| {
            let mut injected = vec![0.0; self.nodes.len()];
            injected[self.nodes[red.0].index()] -= 1.0;
            injected[self.nodes[black.0].index()] += 1.0;
            elimination.potentials(injected)
        });
        Ok(Response {
            at_rest,
            per_speed,
            per_ampere,
            elements: self.elements.into(),
        })
    }
}

impl Response {
    /// The response with a resistance between the two nodes that it was solved to be loaded at. Adding a
    /// conductance to a solved network is exact: the load draws the open-circuit voltage over the sum of what
    /// it sees and of itself, and every potential is affine in that current.
    ///
    /// # Panics
    /// When the response was not solved for a load.
    #[must_use]
    pub fn loaded(&self, (red, black): (Node, Node), resistance: Resistance) -> Self {
        let seen = self.per_ampere[black.0] - self.per_ampere[red.0];
        let open = self.voltage(red, black);
        let drawn = |volts: f64| volts / (resistance.ohms() + seen);
        let with = |potentials: &[f64], amperes: f64| -> Vec<f64> {
            let change = potentials.iter().zip(&self.per_ampere);
            change.map(|(volts, per)| volts + amperes * per).collect()
        };
        Self {
            at_rest: with(&self.at_rest, drawn(open.at_rest)),
            per_speed: with(&self.per_speed, drawn(open.per_speed)),
            per_ampere: Vec::new(),
            elements: Arc::clone(&self.elements),
        }
    }

    /// Potential of a node, volts.
    ///
    /// # Panics
    /// When the node belongs to another vehicle.
    #[must_use]
    pub fn potential(&self, node: Node) -> Affine {
        Affine {
            at_rest: self.at_rest[node.0],
            per_speed: self.per_speed[node.0],
        }
    }

    /// Voltage of `red` over `black`, volts.
    ///
    /// # Panics
    /// When a node belongs to another vehicle.
    #[must_use]
    pub fn voltage(&self, red: Node, black: Node) -> Affine {
        Affine {
            at_rest: self.at_rest[red.0] - self.at_rest[black.0],
            per_speed: self.per_speed[red.0] - self.per_speed[black.0],
        }
    }

    /// Current into the positive terminal of element `index`, amperes.
    ///
    /// # Panics
    /// When there is no such element.
    #[must_use]
    pub fn current(&self, index: usize) -> Affine {
        let element = &self.elements[index];
        let voltage = self.voltage(element.p, element.n);
        let (constant, per_speed) = match element.emf {
            Emf::None => (0.0, 0.0),
            Emf::Constant(emf) => (emf.volts(), 0.0),
            Emf::PerSpeed(constant) => (0.0, constant.volt_seconds()),
        };
        let conductance = element.resistance.to_conductance().siemens();
        Affine {
            at_rest: conductance * (voltage.at_rest - constant),
            per_speed: conductance * (voltage.per_speed - per_speed),
        }
    }

    /// The elements, as in [`Circuit::elements`].
    #[must_use]
    pub fn elements(&self) -> &[Element] {
        &self.elements
    }

    /// Position of the element that is `path` of `component`.
    #[must_use]
    pub fn element_of(&self, component: ComponentId, path: usize) -> Option<usize> {
        // In the order of components and paths, a path before its leaks, instruments last.
        let before = |element: &Element| element.origin.is_some_and(|of| of < (component, path));
        let place = self.elements.partition_point(before);
        let element = self.elements.get(place)?;
        (element.origin == Some((component, path)) && !element.leak).then_some(place)
    }

    /// The response at a share of the flux: all EMF constants are so much of what they are at all of it.
    #[must_use]
    pub fn at_flux(&self, flux: f64) -> Self {
        let weakened = |element: &Element| Element {
            emf: match element.emf {
                Emf::PerSpeed(constant) => Emf::PerSpeed(constant * flux),
                other => other,
            },
            ..*element
        };
        Self {
            per_speed: self.per_speed.iter().map(|volts| volts * flux).collect(),
            elements: self.elements.iter().map(weakened).collect(),
            ..self.clone()
        }
    }

    /// Torque of the winding on the shaft, newton metres: the sum over arcs of EMF constant times current.
    #[must_use]
    pub fn torque(&self) -> Affine {
        let mut torque = Affine::default();
        for (index, element) in self.elements.iter().enumerate() {
            if let Emf::PerSpeed(constant) = element.emf {
                let current = self.current(index);
                torque.at_rest += constant.volt_seconds() * current.at_rest;
                torque.per_speed += constant.volt_seconds() * current.per_speed;
            }
        }
        torque
    }

    /// Potential of a node at a shaft speed.
    #[must_use]
    pub fn potential_at(&self, node: Node, speed: AngularVelocity) -> Voltage {
        Voltage::from_volts(self.potential(node).at(speed.radians_per_second()))
    }

    /// Current of an element at a shaft speed.
    #[must_use]
    pub fn current_at(&self, index: usize, speed: AngularVelocity) -> Current {
        Current::from_amperes(self.current(index).at(speed.radians_per_second()))
    }

    /// Torque of the winding at a shaft speed.
    #[must_use]
    pub fn torque_at(&self, speed: AngularVelocity) -> Torque {
        Torque::from_newton_metres(self.torque().at(speed.radians_per_second()))
    }
}
