//! The wiring diagram, drawn from the sound vehicle's components: never from a state, never from a
//! fault.
//!
//! Switches, relays, the interval unit, the motor and the battery are boxes; what joins them are chains of wires (colour by IEC
//! 60757, square millimetres), pins and what sits in a line. A chain ends at a box or a ground point.

use std::collections::VecDeque;

use groundside_engine::vehicle::{Component, ComponentId, Emf, Gate, Kind, Path, Vehicle};

use super::show::{gate, short};
use crate::style::{Page, Tone, WIDTH, columns};

/// Something with two ends that a chain is made of.
struct Link {
    component: ComponentId,
    path: usize,
    ends: [usize; 2],
}

/// A drawing being made.
struct Drawing<'v> {
    vehicle: &'v Vehicle,
    links: Vec<Link>,
    drawn: Vec<bool>,
    page: Page,
    /// Boxes that chains led to and that are not drawn yet.
    waiting: VecDeque<ComponentId>,
    boxed: Vec<ComponentId>,
}

/// The whole diagram.
pub(crate) fn page(vehicle: &Vehicle) -> Page {
    let mut drawing = Drawing::new(vehicle);
    drawing
        .page
        .add(Tone::Strong, format!("Wiring of the {}", vehicle.title));
    drawing.page.add(
        Tone::Quiet,
        "--RD 6-- is a wire, red, 6 mm2; [x] sits in the line; a box is joined at its terminals.",
    );
    drawing.all();
    drawing.page
}

const fn is_box(kind: &Kind) -> bool {
    matches!(
        kind,
        Kind::Switch { .. }
            | Kind::Relay(_)
            | Kind::IntervalUnit(_)
            | Kind::Motor(_)
            | Kind::Battery(_)
    )
}

impl<'v> Drawing<'v> {
    fn new(vehicle: &'v Vehicle) -> Self {
        let mut links = Vec::new();
        for id in vehicle.ids() {
            let component = vehicle.component(id);
            // What is built into a box is drawn within it.
            let built_in = component.part_of;
            let built_in = built_in.is_some_and(|whole| is_box(&vehicle.component(whole).kind));
            let inside = is_box(&component.kind)
                || built_in
                || matches!(
                    component.kind,
                    Kind::ParkContact(_) | Kind::GroundPoint | Kind::Diode
                );
            if !inside {
                links.extend(component.paths.iter().enumerate().map(|(path, data)| Link {
                    component: id,
                    path,
                    ends: [data.p.index(), data.n.index()],
                }));
            }
        }
        Self {
            vehicle,
            drawn: vec![false; links.len()],
            links,
            page: Page::default(),
            waiting: VecDeque::new(),
            boxed: Vec::new(),
        }
    }

    fn all(&mut self) {
        let first = |wanted: fn(&Kind) -> bool| {
            self.vehicle
                .ids()
                .find(|&id| wanted(&self.vehicle.component(id).kind))
        };
        let battery = first(|kind| matches!(kind, Kind::Battery(_)));
        if let Some(battery) = battery {
            self.boxed.push(battery);
            self.page.add(Tone::Plain, "");
            self.terminals(battery, |name| name != "neg");
        }
        while let Some(id) = self.waiting.pop_front() {
            self.draw_box(id);
        }
        // Boxes that no chain from the battery led to.
        for id in self.vehicle.ids() {
            if is_box(&self.vehicle.component(id).kind) && !self.boxed.contains(&id) {
                self.draw_box(id);
            }
        }
        self.page.add(Tone::Plain, "");
        if let Some(battery) = battery {
            self.terminals(battery, |name| name == "neg");
        }
        self.diodes();
        let grounds = self.vehicle.components.iter();
        let grounds = grounds.filter(|component| matches!(component.kind, Kind::GroundPoint));
        let grounds: Vec<&str> = grounds.map(|component| component.id.as_str()).collect();
        if !grounds.is_empty() {
            self.page.hanging(
                Tone::Plain,
                format!("body: joined at {}", grounds.join(", ")),
                "    ",
            );
        }
    }

    /// Diodes by their ends: one that lies across a coil would be drawn as if it lay in the coil's line.
    fn diodes(&mut self) {
        for part in &self.vehicle.components {
            if let (Kind::Diode, Some(path)) = (&part.kind, part.paths.first()) {
                let names = &self.vehicle.node_names;
                let [anode, cathode] = [path.p, path.n].map(|end| names[end.index()].as_str());
                let told = format!("{}: anode at {anode}, cathode at {cathode}", part.id);
                self.page.hanging(Tone::Plain, told, "    ");
            }
        }
    }

    /// What a chain may end at: the terminal of a box, a ground point, or the body.
    fn end_at(&self, node: usize) -> Option<(ComponentId, String)> {
        let ends = |kind: &Kind| is_box(kind) || matches!(kind, Kind::GroundPoint | Kind::Body);
        self.vehicle
            .points()
            .filter(|point| ends(&self.vehicle.component(point.component).kind))
            .find(|&point| self.vehicle.node(point).index() == node)
            .map(|point| {
                let component = self.vehicle.component(point.component);
                let name = match component.kind {
                    Kind::GroundPoint | Kind::Body => component.id.to_string(),
                    _ => self.vehicle.point_name(point),
                };
                (point.component, name)
            })
    }

    /// All chains from the terminals of a box.
    fn terminals(&mut self, id: ComponentId, wanted: impl Fn(&str) -> bool) {
        let component = self.vehicle.component(id);
        let is_battery = matches!(component.kind, Kind::Battery(_));
        for terminal in component
            .terminals
            .iter()
            .filter(|terminal| wanted(terminal.name.as_str()))
        {
            let node = terminal.node.index();
            while let Some(link) = self.next_at(node) {
                let start = if is_battery {
                    format!("{} {} ", component.id, terminal.name)
                } else {
                    format!("  | {:<4}", terminal.name.as_str())
                };
                self.chain(link, node, start, 0);
            }
        }
    }

    /// The first link at a node that is not drawn.
    fn next_at(&self, node: usize) -> Option<usize> {
        (0..self.links.len())
            .find(|&link| !self.drawn[link] && self.links[link].ends.contains(&node))
    }

    /// Draws a chain from a node along a link until it ends or divides.
    fn chain(&mut self, link: usize, node: usize, start: String, depth: usize) {
        let indent = " ".repeat(4 + 4 * depth.min(8));
        let mut text = start;
        let (mut link, mut node) = (link, node);
        let mut before = None;
        loop {
            self.drawn[link] = true;
            // Of a part with several pieces in a line, a fuse in its holder, the name is told once.
            let component = self.links[link].component;
            let pin = matches!(
                self.vehicle.component(component).kind,
                Kind::Connector { .. }
            );
            if before.replace(component) != Some(component) || pin {
                let piece = self.label(link);
                self.piece(&mut text, &piece, &indent);
            }
            let ends = self.links[link].ends;
            node = if ends[0] == node { ends[1] } else { ends[0] };
            if let Some((id, name)) = self.end_at(node) {
                self.piece(&mut text, &format!(" {name}"), &indent);
                let waits = is_box(&self.vehicle.component(id).kind)
                    && !self.boxed.contains(&id)
                    && !self.waiting.contains(&id);
                if waits {
                    self.waiting.push_back(id);
                }
                break;
            }
            let onward: Vec<usize> = (0..self.links.len())
                .filter(|&other| !self.drawn[other] && self.links[other].ends.contains(&node))
                .collect();
            match onward.as_slice() {
                [] => break,
                [one] => link = *one,
                several => {
                    self.page.row(format!("{text}--+"));
                    for &branch in several {
                        if !self.drawn[branch] {
                            self.chain(branch, node, format!("{indent}+"), depth + 1);
                        }
                    }
                    return;
                }
            }
        }
        self.page.row(text);
    }

    /// Adds a piece to a chain, on a new line when it would be too long.
    fn piece(&mut self, text: &mut String, piece: &str, indent: &str) {
        if text.chars().count() + piece.chars().count() > WIDTH {
            self.page.row(text.as_str());
            *text = format!("{indent}  ..");
        }
        text.push_str(piece);
    }

    fn label(&self, link: usize) -> String {
        let Link {
            component, path, ..
        } = self.links[link];
        let data = self.vehicle.component(component);
        match &data.kind {
            Kind::Wire { data, colour, .. } => {
                format!("--{colour} {}--", short(data.section.square_millimetres()))
            }
            Kind::Strap(data) => format!("--strap {}--", short(data.section.square_millimetres())),
            Kind::Connector { .. } => format!("[{} {}]", data.id, data.paths[path].name),
            _ => format!("[{}{}]", data.id, self.ends_named(link)),
        }
    }

    /// Which terminals of a part with more than two a link joins: ` 30-87`.
    fn ends_named(&self, link: usize) -> String {
        let Link {
            component, ends, ..
        } = self.links[link];
        let terminals = &self.vehicle.component(component).terminals;
        if terminals.len() <= 2 {
            return String::new();
        }
        let at = |node: usize| terminals.iter().find(|t| t.node.index() == node);
        let named = ends.into_iter().filter_map(at).map(|t| t.name.as_str());
        let named: Vec<&str> = named.collect();
        match named.is_empty() {
            true => String::new(),
            false => format!(" {}", named.join("-")),
        }
    }

    /// A box with what is inside it, and the chains from its terminals.
    fn draw_box(&mut self, id: ComponentId) {
        self.boxed.push(id);
        let component = self.vehicle.component(id);
        let rows = match &component.kind {
            Kind::Switch { .. } => contacts(component, self.vehicle),
            _ => self.inside(id),
        };
        let width = rows
            .iter()
            .map(|row| row.chars().count())
            .max()
            .unwrap_or(0);
        let width = width
            .max(component.title.chars().count() + 2)
            .min(WIDTH - 4);
        let control = component
            .control
            .as_ref()
            .map_or_else(String::new, |word| format!(" ({word})"));
        let head = format!("+- {}{control} ", component.id);
        self.page.add(Tone::Plain, "");
        let dashes = (width + 3).saturating_sub(head.chars().count());
        self.page.row(format!("{head}{}+", "-".repeat(dashes)));
        for row in rows {
            self.page.row(format!("| {row:<width$} |"));
        }
        self.page.row(format!("+{}+", "-".repeat(width + 2)));
        self.terminals(id, |_| true);
    }

    /// Paths within a component and what is built into it, each between terminals or at the armature.
    fn inside(&self, id: ComponentId) -> Vec<String> {
        let component = self.vehicle.component(id);
        let end = |node: usize| {
            let found = component
                .terminals
                .iter()
                .find(|terminal| terminal.node.index() == node);
            match found {
                Some(terminal) => terminal.name.to_string(),
                None => within(self.vehicle, node),
            }
        };
        let row = |owner: &Component, path: &Path, name: String| {
            vec![
                end(path.p.index()),
                format!("--[{name}]--"),
                end(path.n.index()),
                gate(path, owner),
            ]
        };
        let mut rows = Vec::new();
        for path in component.paths.iter().filter(|path| path.emf == Emf::None) {
            let name = path.name.to_string();
            let mut cells = row(component, path, name);
            // The outside first, whichever way the path runs.
            if cells[0] == ARMATURE {
                cells.swap(0, 2);
            }
            rows.push(cells);
        }
        for part in &self.vehicle.components {
            if part.part_of == Some(id) {
                for path in &part.paths {
                    rows.push(row(part, path, format!("{} {}", part.id, path.name)));
                }
            }
        }
        columns(&rows)
    }
}

/// Where the brushes of a motor stand.
const ARMATURE: &str = "armature";

/// The name of a node that is no terminal, without that of its component: `slider`, `track 1`.
fn within(vehicle: &Vehicle, node: usize) -> String {
    let name = vehicle.node_names[node].as_str();
    let own = vehicle.components.iter();
    let own = own.filter_map(|part| name.strip_prefix(part.id.as_str())?.strip_prefix(' '));
    let own = own.min_by_key(|rest| rest.len()).unwrap_or(name);
    match own.ends_with("-tap") {
        true => ARMATURE.to_owned(),
        false => own.to_owned(),
    }
}

/// The contacts of a switch, and in which positions each is closed; after them what always conducts in it.
fn contacts(component: &Component, vehicle: &Vehicle) -> Vec<String> {
    let positions = component.positions();
    let terminal = |node: usize| {
        let found = component
            .terminals
            .iter()
            .find(|terminal| terminal.node.index() == node);
        found.map_or_else(
            || within(vehicle, node),
            |terminal| terminal.name.to_string(),
        )
    };
    let mut rows = vec![vec!["contact".to_owned()]];
    rows[0].extend(positions.iter().map(|&position| position.to_owned()));
    let (gated, always): (Vec<&Path>, Vec<&Path>) =
        (component.paths.iter()).partition(|path| path.gate != Gate::Always);
    for path in gated {
        let mut row = vec![format!(
            "{}-{}",
            terminal(path.p.index()),
            terminal(path.n.index())
        )];
        row.extend((0..positions.len()).map(|position| {
            let closed = match &path.gate {
                Gate::Position(closed) => closed.contains(&position),
                _ => true,
            };
            if closed { "x" } else { "." }.to_owned()
        }));
        rows.push(row);
    }
    let always = always.into_iter().map(|path| {
        let ohms = path.resistance.ohms();
        let between = if ohms < TRACK_OHM {
            "--".to_owned()
        } else {
            format!("[{} ohm]", short(ohms))
        };
        let [from, to] = [path.p, path.n].map(|end| terminal(end.index()));
        format!("{from} --{between}-- {to}")
    });
    columns(&rows).into_iter().chain(always).collect()
}

/// Ohms from which what conducts in a switch is a resistance meant to be there.
const TRACK_OHM: f64 = 1.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::{VEHICLES, vehicle};

    #[test]
    fn a_part_is_named_once_in_a_line_and_by_its_terminals_where_it_branches() {
        for (id, _) in VEHICLES {
            let text = page(&vehicle(id).unwrap().vehicle).text();
            assert!(!text.contains("[wiper-fuse][wiper-fuse]"), "{text}");
            assert!(!text.contains("  | 31  [cut-out]"), "{text}");
            for bare in ["[interval-unit", "[k1-relay", "[k1-diode"] {
                assert!(!text.contains(bare), "{bare}: {text}");
            }
            assert!(
                !text.contains("armature--[") && !text.contains("slider-wiper-switch"),
                "{text}"
            );
        }
    }

    /// A rheostat's track is a resistance and no contact that is always closed; a relay is a box; what lies across its coil
    /// does not lie in the coil's line.
    #[test]
    fn what_is_in_a_box_is_told_by_what_it_is() {
        let of = |id: &str| page(&vehicle(id).unwrap().vehicle).text();
        let rheostat = of("bus-compound-rheostat");
        for told in ["| slider-track 1 ", "| track 1 --[", "| 15 ------ slider"] {
            assert!(rheostat.contains(told), "{told}: {rheostat}");
        }
        let hatch = of("hatch-relay");
        for told in [
            "+- k1-relay -",
            "+- interval-unit -",
            "k1-diode: anode at k1-socket 85, cathode at k1-socket 86",
            "[k1-socket 86] k1-relay 86",
        ] {
            assert!(hatch.contains(told), "{told}: {hatch}");
        }
        // No brush joins the armature to itself.
        for (id, _) in VEHICLES {
            for line in of(id).lines() {
                assert!(line.matches(ARMATURE).count() < 2, "{line}");
            }
        }
    }
}
