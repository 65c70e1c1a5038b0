//! Faults by name: `component.mode` or `component.mode:severity`, written and read.

use super::severity::severity_given;
use super::{Fault, ModeId, Vehicle};
use crate::ident::nearest;

/// Why a text names no fault.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FaultError {
    /// The text is not `component.mode` or `component.mode:severity`.
    #[error("`{0}` is not COMPONENT.MODE or COMPONENT.MODE:SEVERITY")]
    Form(String),
    /// A second fault that is put right along with the first.
    #[error("`{0}` and `{1}` are put right together; a second fault is of another part")]
    Together(String, String),
    /// No such component.
    #[error("no component `{given}`{}", did_you_mean(.nearest))]
    Component {
        /// What was given.
        given: String,
        /// The nearest ids.
        nearest: Vec<String>,
    },
    /// No such mode.
    #[error("`{component}` has no failure mode `{given}`{}", did_you_mean(.nearest))]
    Mode {
        /// The component.
        component: String,
        /// What was given.
        given: String,
        /// The nearest modes, or all when none is near.
        nearest: Vec<String>,
    },
    /// A severity that is no number, or that the mode does not have.
    #[error("`{given}` is not a severity here: {expected}")]
    Severity {
        /// What was given.
        given: String,
        /// What would do.
        expected: String,
    },
}

fn did_you_mean(nearest: &[String]) -> String {
    if nearest.is_empty() {
        String::new()
    } else {
        format!("; there is {}", nearest.join(", "))
    }
}

impl Vehicle {
    /// `component.mode` or `component.mode:severity`.
    #[must_use]
    pub fn fault_name(&self, fault: &Fault) -> String {
        let stem = format!(
            "{}.{}",
            self.component(fault.component).id,
            self.mode(fault).name
        );
        match fault.severity {
            Some(severity) => format!("{stem}:{severity}"),
            None => stem,
        }
    }

    /// Reads `component.mode` or `component.mode:severity`; a severity left out is the law's median.
    ///
    /// # Errors
    /// [`FaultError`], with the nearest right words.
    pub fn parse_fault(&self, text: &str) -> Result<Fault, FaultError> {
        let (stem, severity) = text
            .split_once(':')
            .map_or((text, None), |(stem, severity)| (stem, Some(severity)));
        let (component, mode) = stem
            .split_once('.')
            .ok_or_else(|| FaultError::Form(text.to_owned()))?;
        let owned = |words: Vec<&str>| {
            words
                .into_iter()
                .map(str::to_owned)
                .collect::<Vec<String>>()
        };
        let id = self.find(component).ok_or_else(|| FaultError::Component {
            given: component.to_owned(),
            nearest: owned(nearest(
                component,
                self.components.iter().map(|c| c.id.as_str()),
            )),
        })?;
        let modes = self.component(id).modes();
        let names = || modes.iter().map(|mode| mode.name.as_str());
        let Some(place) = names().position(|name| name == mode) else {
            let near = nearest(mode, names());
            let nearest = owned(if near.is_empty() {
                names().collect()
            } else {
                near
            });
            return Err(FaultError::Mode {
                component: component.to_owned(),
                given: mode.to_owned(),
                nearest,
            });
        };
        let severity = severity_given(modes[place].severity, severity)?;
        Ok(Fault {
            component: id,
            mode: ModeId(place),
            severity,
        })
    }
}
