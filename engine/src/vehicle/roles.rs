//! What a vehicle's controls are for: its key, its wiper switch, its engine, and what each position of the switch
//! does. Found by the words that files give them, in one place.

use super::{ComponentId, Kind, Node, Path, Vehicle};

/// The position of a wiper switch in which the wipers go at intervals.
const INTERVAL: &str = "interval";

/// Which controls and positions of a vehicle do what.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Roles {
    /// The ignition switch: the control `key`.
    pub key: ComponentId,
    /// Its position with everything on: the last.
    pub key_on: usize,
    /// The wiper switch: the control `wiper`.
    pub wiper: ComponentId,
    /// Its position at rest: the first.
    pub off: usize,
    /// The positions in which the wipers go on and on, in the order of the switch: the first is called LOW, the
    /// last HIGH.
    pub speeds: Vec<usize>,
    /// The position in which they go at intervals.
    pub interval: Option<usize>,
}

impl Vehicle {
    /// What the controls are for; `None` for a vehicle without a key or without wipers to work.
    #[must_use]
    pub fn roles(&self) -> Option<Roles> {
        let (key, wiper) = (self.control("key")?, self.control("wiper")?);
        let positions = self.component(wiper).positions();
        let interval = positions.iter().position(|position| *position == INTERVAL);
        let off = 0;
        let speeds = (0..positions.len()).filter(|at| *at != off && Some(*at) != interval);
        Some(Roles {
            key,
            key_on: self.component(key).positions().len().checked_sub(1)?,
            wiper,
            off,
            speeds: speeds.collect(),
            interval,
        })
    }

    /// The strap on the battery's negative post.
    #[must_use]
    pub fn battery_strap(&self) -> Option<ComponentId> {
        let on_post = |path: &Path| [path.p, path.n].contains(&Node::REFERENCE);
        self.ids().find(|&id| {
            let part = self.component(id);
            matches!(part.kind, Kind::Strap(_)) && part.paths.iter().any(on_post)
        })
    }

    /// The engines: components whose control starts one.
    pub fn engines(&self) -> impl Iterator<Item = ComponentId> + '_ {
        self.ids()
            .filter(|&id| matches!(self.component(id).kind, Kind::Alternator(_)))
    }
}
