//! x
pub mod ident; pub mod math; pub mod network; pub mod quantity; pub mod random;pub mod machines; pub mod vehicle; pub mod scenario;
pub mod world { pub mod action; pub use action::*; }
