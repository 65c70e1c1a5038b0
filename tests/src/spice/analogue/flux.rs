//! The flux of a wound field in a deck, from the currents of its windings.

use groundside_engine::machines::WoundField;
use groundside_engine::vehicle::{Component, Kind, Path};

use super::{Mechanics, line};

/// Time constant, seconds, in which what stays in the iron turns round in a run. The simulator finds no way from a
/// closed to an open breaker beside a switch that would do it at once.
const TURNS_ROUND_S: f64 = 1e-5;

/// A winding of a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Winding {
    Series,
    Shunt,
}

impl Mechanics {
    /// Which winding of its wound field a path of the motor is.
    pub(super) fn winding_of(&self, component: &Component, path: &Path) -> Option<Winding> {
        self.field?;
        match (&component.kind, path.name.as_str()) {
            (Kind::Motor(_), "series-field") => Some(Winding::Series),
            (Kind::Motor(_), "shunt-field") => Some(Winding::Shunt),
            _ => None,
        }
    }

    /// Nodes that a winding of the armature takes its speed from, and gives its torque to.
    pub(super) const fn turned_by(&self) -> [&'static str; 2] {
        if self.field.is_some() {
            ["seen", "wind"]
        } else {
            ["speed", "speed"]
        }
    }

    /// The flux that belongs to the windings' currents, at an operating point: what stays in the iron is what
    /// running forward left there, unless more than itself opposes it.
    pub(super) fn settled_flux(&self, deck: &mut String, windings: &[(usize, Winding)]) {
        let Some(field) = self.field else { return };
        let stays = field.residual;
        field.wound(deck, windings);
        line(
            deck,
            format_args!(
                "Bturns turns 0 V=v(wound)+(v(wound)<{:e} ? {:e} : {stays:e})",
                -stays, -stays
            ),
        );
        field.works(deck);
    }

    /// Where the search for the speed begins: friction that helped a shaft which turns the other way would hold it
    /// there, too, since less flux is less EMF.
    pub(super) fn sought_from(&self, deck: &mut String, speed: f64) {
        if self.field.is_some() {
            line(deck, format_args!(".nodeset v(speed)={speed:e}"));
        }
    }

    /// The flux in a run: it lags, and what stays in the iron is turned round by more than itself.
    pub(super) fn flux_in_time(&self, deck: &mut String, windings: &[(usize, Winding)]) {
        let Some(field) = self.field else { return };
        let stays = field.residual;
        field.wound(deck, windings);
        line(
            deck,
            format_args!(
                "Bstays 0 stays I=(v(wound)>{stays:e} ? {stays:e}-v(stays) : \
                 (v(wound)<{:e} ? {:e}-v(stays) : 0))\n\
                 Cstays stays 0 {TURNS_ROUND_S:e}\n.ic v(stays)={stays:e}\n\
                 Bturns 0 turns I=v(wound)+v(stays)-v(turns)\n\
                 Cturns turns 0 {:e}\n.ic v(turns)={stays:e}",
                -stays,
                -stays,
                field.lag.seconds(),
            ),
        );
        field.works(deck);
    }
}

/// What of a field is the same at an operating point and in a run.
trait InDeck {
    fn wound(&self, deck: &mut String, windings: &[(usize, Winding)]);
    fn works(&self, deck: &mut String);
}

impl InDeck for WoundField {
    /// The ampere turns of the windings' currents.
    fn wound(&self, deck: &mut String, windings: &[(usize, Winding)]) {
        let each = windings.iter().map(|(number, winding)| {
            let turns = match winding {
                Winding::Series => self.series_turns,
                Winding::Shunt => self.shunt_turns,
            };
            format!("{turns:e}*i(V{number})")
        });
        let sum = each.collect::<Vec<_>>().join("+");
        line(deck, format_args!("Bwound wound 0 V={sum}"));
    }

    /// What ampere turns in effect do.
    fn works(&self, deck: &mut String) {
        line(
            deck,
            format_args!(
                "Bflux flux 0 V=v(turns)/({:e}+abs(v(turns)))\n\
                 Bseen seen 0 V=v(flux)*v(speed)\n\
                 Vwind wind 0 0\nBtorque 0 speed I=v(flux)*i(Vwind)",
                self.half
            ),
        );
    }
}
