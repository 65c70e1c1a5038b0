//! Mistakes that only a run shows, made in the shipped files one by one.

use super::*;

const VAN: &str = include_str!("../../../scenarios/van-case-ground.toml");
const SHIPPED: [&str; 5] = [
    VAN,
    include_str!("../../../scenarios/sedan-reversing.toml"),
    include_str!("../../../scenarios/hatch-relay.toml"),
    include_str!("../../../scenarios/bus-compound.toml"),
    include_str!("../../../scenarios/bus-compound-rheostat.toml"),
];

#[test]
fn the_shipped_vehicles_are_without_a_finding() {
    for text in SHIPPED {
        let (vehicle, findings) = lint_vehicle(text);
        let id = vehicle.map(|vehicle| vehicle.id.clone());
        assert_eq!(findings, [], "{id:?}");
    }
}
