use super::*;
use crate::card::sample;

fn colours(role: Role, part: Option<usize>, piece: usize) -> [u8; 3] {
    const SOME: [[u8; 3]; 8] = [[150, 160, 170], [110, 120, 140], [200, 160, 40], [120, 125, 60], [90, 100, 120], [120, 90, 60], [130, 110, 80], [100, 90, 80]];
    match (role, part) {
        (Role::Part, Some(part)) => SOME[(part + 3 * piece) % SOME.len()],
        (Role::Hook, _) => [70, 70, 75],
        _ => [225, 205, 120],
    }
}

/// Writes every sample for the eye, into the folder the system keeps for passing things.
#[test]
#[ignore = "for looking at"]
fn look_at_the_papers() {
    for (name, card) in sample::all() {
        std::fs::write(std::env::temp_dir().join(format!("look-{name}.svg")), svg(&card, &colours)).unwrap();
    }
}
