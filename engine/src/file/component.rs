//! Reads one component: the keys that all kinds share, and references to other components.

use std::ops::Range;

use super::finding::{Code, Findings, did_you_mean, quoted};
use super::keys::{REGIONS, REPAIRS, alternator, common, consumer, repair, switch};
use super::kind::KindWord;
use super::section::Section;
use super::value::{Named, Value};
use super::vehicle::place;
use super::{electrical, mechanical};
use crate::ident::Name;
use crate::quantity::{Resistance, Temperature};
use crate::vehicle::{
    Component, ComponentId, CoverId, Emf, Exposure, Gate, Kind, Layout, Node, Path, PlaceId,
    Region, Repair, Signs, Terminal, Wear,
};

/// What is known of a component before its inside is read.
#[derive(Debug)]
pub(super) struct Entry {
    pub(super) id: Name,
    pub(super) kind: KindWord,
    /// Its name in the file.
    pub(super) span: Range<usize>,
    pub(super) terminals: Vec<Terminal>,
    /// Joints inside it that no probe reaches, but what is built into it does.
    pub(super) inner: Vec<Terminal>,
    pub(super) pins: Vec<Name>,
    /// Whether its inside was read without an error; what builds on it is checked only then.
    pub(super) sound: bool,
}

/// All components by name and terminal, and what else they refer to.
#[derive(Debug)]
pub(super) struct Roster<'t> {
    pub(super) findings: &'t Findings<'t>,
    pub(super) entries: Vec<Entry>,
    pub(super) node_names: Vec<String>,
    pub(super) layout: Layout,
    pub(super) ambient: Temperature,
    /// Cut-outs behind terminals: which component, its node inside, the terminal's node.
    pub(super) behind: Vec<(usize, Node, Node)>,
}

/// What is inside a component.
pub(super) struct Inside {
    pub(super) kind: Kind,
    pub(super) paths: Vec<Path>,
}

impl Inside {
    /// Of a component that conducts nothing.
    pub(super) const fn mechanical(kind: Kind) -> Self {
        Self {
            kind,
            paths: Vec::new(),
        }
    }
}

impl<'t> Roster<'t> {
    pub(super) fn new(findings: &'t Findings<'t>, layout: Layout, ambient: Temperature) -> Self {
        // The reference is the battery's negative post, wherever in the file the battery stands.
        Self {
            findings,
            entries: Vec::new(),
            node_names: vec!["reference".to_owned()],
            layout,
            ambient,
            behind: Vec::new(),
        }
    }

    /// Enters a component with its terminals and their nodes; gives its table back for the second reading.
    pub(super) fn enlist(
        &mut self,
        kind: KindWord,
        id: Name,
        mut section: Section<'t>,
    ) -> Section<'t> {
        if self.find(id.as_str()).is_some() {
            let help = Some("ids are unique over all kinds".to_owned());
            section.error(
                Code::DuplicateId,
                "has the id of an earlier component",
                help,
            );
        }
        let (names, pins) = kind.terminals(&mut section);
        let first_battery = kind == KindWord::Battery && self.of_kind(kind).next().is_none();
        let mut terminals = Vec::new();
        for name in names {
            let label = format!("{id} {name}");
            let node = if first_battery && name.as_str() == "neg" {
                self.node_names[0] = label;
                Node::REFERENCE
            } else {
                self.add_node(label)
            };
            terminals.push(Terminal { name, node });
        }
        let mut inner = Vec::new();
        for name in kind.inner_joints(&section) {
            let node = self.add_node(format!("{id} {name}"));
            inner.push(Terminal { name, node });
        }
        self.entries.push(Entry {
            id,
            kind,
            span: section.span.clone(),
            terminals,
            inner,
            pins,
            sound: true,
        });
        section
    }

    pub(super) fn add_node(&mut self, label: String) -> Node {
        self.node_names.push(label);
        Node(self.node_names.len() - 1)
    }

    pub(super) fn find(&self, id: &str) -> Option<usize> {
        self.entries
            .iter()
            .position(|entry| entry.id.as_str() == id)
    }

    pub(super) fn of_kind(&self, kind: KindWord) -> impl Iterator<Item = &Entry> {
        self.entries.iter().filter(move |entry| entry.kind == kind)
    }

    fn ids(&self) -> impl Iterator<Item = &str> {
        self.entries.iter().map(|entry| entry.id.as_str())
    }

    /// The component that a value names.
    pub(super) fn component(&self, value: &Value<'_>) -> Option<usize> {
        let Named { name, .. } = value.name()?;
        let found = self.find(name.as_str());
        if found.is_none() {
            let help = did_you_mean(name.as_str(), self.ids());
            value.error(
                Code::UnknownComponent,
                format_args!("is `{name}`, which is no component"),
                help,
            );
        }
        found
    }

    /// The node of the point that a value names, or of a joint inside a component.
    pub(super) fn inner_point(&self, value: &Value<'_>, codes: (Code, Code)) -> Option<Node> {
        let text = value.line()?;
        let inner = text.split_once([' ', '.']).and_then(|(id, joint)| {
            let entry = &self.entries[self.find(id)?];
            entry
                .inner
                .iter()
                .find(|found| found.name.as_str() == joint)
        });
        match inner {
            Some(joint) => Some(joint.node),
            None => self.point(value, codes),
        }
    }

    /// The node of the point that a value names, `component terminal`. The codes are for a component and
    /// for a terminal that are not there.
    pub(super) fn point(&self, value: &Value<'_>, codes: (Code, Code)) -> Option<Node> {
        let text = value.line()?;
        let Some((id, terminal)) = text.split_once([' ', '.']) else {
            let help = Some("a component and a terminal, as in `battery pos`".to_owned());
            value.error(
                codes.1,
                format_args!("is {} here, which names no terminal", quoted(&text)),
                help,
            );
            return None;
        };
        let Some(entry) = self.find(id).map(|index| &self.entries[index]) else {
            let help = did_you_mean(id, self.ids());
            value.error(
                codes.0,
                format_args!("names no terminal: there is no component {}", quoted(id)),
                help,
            );
            return None;
        };
        let found = entry
            .terminals
            .iter()
            .find(|found| found.name.as_str() == terminal);
        if found.is_none() {
            let names: Vec<&str> = entry
                .terminals
                .iter()
                .map(|terminal| terminal.name.as_str())
                .collect();
            let help = did_you_mean(terminal, names.iter().copied())
                .or_else(|| (!names.is_empty()).then(|| format!("it has {}", names.join(", "))));
            let message = format!("names no terminal: `{id}` has no {}", quoted(terminal));
            value.error(codes.1, message, help);
        }
        found.map(|terminal| terminal.node)
    }
}

/// Reads the inside of the component at `index`. After an error it is something else, for the vehicle is
/// not built then.
pub(super) fn read_component(
    roster: &mut Roster<'_>,
    index: usize,
    mut section: Section<'_>,
) -> Component {
    let errors = roster.findings.errors();
    let kind = roster.entries[index].kind;
    let inside = if kind.is_mechanical() {
        mechanical::inside(roster, index, &mut section)
    } else {
        electrical::inside(roster, index, &mut section)
    };
    roster.entries[index].sound = inside.is_some() && roster.findings.errors() == errors;
    let Inside { kind: data, paths } = inside.unwrap_or(Inside::mechanical(Kind::Body));
    let entry = &roster.entries[index];
    let component = Component {
        id: entry.id.clone(),
        title: section.title(&common::TITLE, &entry.id),
        kind: data,
        place: read_place(roster, &mut section),
        cover: read_cover(roster, &mut section),
        part_of: read_part_of(roster, index, &mut section),
        region: read_region(kind, &mut section),
        control: read_control(kind, &mut section),
        terminals: entry.terminals.clone(),
        paths,
        repairs: read_repairs(&mut section),
        signs: Signs {
            crust: read_crust(&mut section),
            ..Signs::default()
        },
        wear: Wear::default(),
        exposure: read_exposure(&mut section),
        worked_on: section
            .may(&common::WORKED_ON)
            .and_then(|value| value.boolean())
            .unwrap_or_default(),
    };
    section.close();
    component
}

fn read_place(roster: &Roster<'_>, section: &mut Section<'_>) -> PlaceId {
    let named = section.name(&common::PLACE);
    named
        .and_then(|named| place(section, &roster.layout.places, &named))
        .unwrap_or(PlaceId(0))
}

fn read_cover(roster: &Roster<'_>, section: &mut Section<'_>) -> Option<CoverId> {
    let named = section.may(&common::COVER)?.name()?;
    let ids = roster.layout.covers.iter().map(|cover| cover.id.as_str());
    section.position(&named, "cover", ids).map(CoverId)
}

/// Crust that is there and harmless.
fn read_crust(section: &mut Section<'_>) -> f64 {
    let value = section.may(&common::CRUST);
    value.and_then(|value| value.number()).unwrap_or_default()
}

/// How its place treats it; covered where nothing is said.
fn read_exposure(section: &mut Section<'_>) -> Exposure {
    let value = section.may(&common::EXPOSURE);
    value
        .and_then(|value| value.one_of())
        .map_or_else(Exposure::default, |place| Exposure::ALL[place])
}

fn read_part_of(
    roster: &Roster<'_>,
    index: usize,
    section: &mut Section<'_>,
) -> Option<ComponentId> {
    let value = section.may(&common::PART_OF)?;
    let found = roster.component(&value)?;
    if found == index {
        value.error(Code::WrongKind, "is the component itself", None);
    }
    Some(ComponentId(found))
}

fn read_region(kind: KindWord, section: &mut Section<'_>) -> Region {
    let value = if kind.region().is_some() {
        section.may(&common::REGION)
    } else {
        section.need(&common::REGION)
    };
    let said = value
        .and_then(|value| value.one_of())
        .map(|place| REGIONS[place]);
    said.or(kind.region()).unwrap_or(Region::Supply)
}

/// Switches and engines are worked by a word, a consumer may be; nothing else is.
fn read_control(kind: KindWord, section: &mut Section<'_>) -> Option<Name> {
    let value = match kind {
        KindWord::Switch => section.need(&switch::CONTROL),
        KindWord::Alternator => section.need(&alternator::CONTROL),
        KindWord::Consumer => section.may(&consumer::CONTROL),
        _ => None,
    };
    value.and_then(|value| value.name()).map(|named| named.name)
}

fn read_repairs(section: &mut Section<'_>) -> Vec<Repair> {
    let mut repairs = Vec::new();
    for (name, mut section) in section.named_sections(&common::WAYS) {
        if !REPAIRS.contains(&name.as_str()) {
            let message = format!("`{name}` is not a repair; there is {}", REPAIRS.join(", "));
            section.error(Code::UnknownWord, &message, None);
        }
        let labour = section.minutes(&repair::MINUTES);
        let price = section
            .need(&repair::PRICE)
            .and_then(|value| value.count())
            .unwrap_or_default();
        section.close();
        repairs.push(Repair {
            name,
            labour,
            price,
        });
    }
    repairs
}

/// A path without EMF that always conducts. `None` only for a name that is none, which the callers'
/// words and the file's checked names are not.
pub(super) fn path(name: &str, p: Node, n: Node, ohms: f64) -> Option<Path> {
    debug_assert!(Name::new(name).is_ok(), "`{name}` is not a name");
    let (resistance, emf, gate) = (Resistance::from_ohms(ohms), Emf::None, Gate::Always);
    Some(Path {
        name: Name::new(name).ok()?,
        p,
        n,
        resistance,
        emf,
        gate,
        to_body: None,
        loose: None,
    })
}
