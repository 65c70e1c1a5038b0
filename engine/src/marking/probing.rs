//! Where a vehicle's circuit can be probed: a point for each node, and the pairs that say something.

use crate::vehicle::{Node, Point, Vehicle};

/// One point for each node that can be probed, the battery's negative post left out.
pub(super) fn distinct_points(vehicle: &Vehicle) -> Vec<Point> {
    let mut seen = vec![Node::REFERENCE];
    let mut points = Vec::new();
    for point in vehicle.points() {
        let node = vehicle.node(point);
        if !seen.contains(&node) {
            seen.push(node);
            points.push(point);
        }
    }
    points
}

/// Every point against battery negative, and both ends of every path that can be probed.
pub(super) fn point_pairs(vehicle: &Vehicle, negative: Point) -> Vec<(Point, Point)> {
    let mut seen: Vec<(Node, Node)> = Vec::new();
    let mut pairs = Vec::new();
    let mut add = |red: Point, black: Point| {
        let nodes = (vehicle.node(red), vehicle.node(black));
        if nodes.0 != nodes.1 && !seen.contains(&nodes) {
            seen.push(nodes);
            pairs.push((red, black));
        }
    };
    vehicle.points().for_each(|point| add(point, negative));
    for path in vehicle
        .components
        .iter()
        .flat_map(|component| &component.paths)
    {
        if let (Some(red), Some(black)) = (vehicle.point_at(path.p), vehicle.point_at(path.n)) {
            add(red, black);
        }
    }
    pairs
}
