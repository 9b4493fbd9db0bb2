//! The colour of what is drawn: a material's own, else that of its kind.

use crate::card::Card;
use crate::card::form::Role;
use crate::dressing::Shelf;

/// Steel of a hook.
pub const STEEL: [u8; 3] = [0x8a, 0x8f, 0x96];

/// The colour of one mark, red, green, blue.
pub fn of(card: &Card, shelf: &Shelf, role: Role, part: Option<usize>) -> [u8; 3] {
    match (role, part.and_then(|nth| card.parts.get(nth))) {
        (_, Some(part)) => of_material(shelf, &part.material),
        (Role::Hook, None) => STEEL,
        (Role::Head, None) => of_material(shelf, card.head_silk.as_ref().unwrap_or(&card.silk)),
        (_, None) => of_material(shelf, &card.silk),
    }
}

/// The colour of one material of a part, by its place among [`pieces`](crate::card::WorkedPart::pieces); else as [`of`].
pub fn of_piece(card: &Card, shelf: &Shelf, role: Role, part: Option<usize>, piece: usize) -> [u8; 3] {
    match part.and_then(|nth| card.parts.get(nth)).and_then(|part| part.pieces.get(piece)) {
        Some(piece) => of_material(shelf, &piece.material),
        None => of(card, shelf, role, part),
    }
}

/// The colour of a material by its folded name.
pub fn of_material(shelf: &Shelf, folded: &str) -> [u8; 3] {
    let Some(material) = shelf.materials.get(folded) else { return [0x99, 0x99, 0x88] };
    if let Some(colour) = material.colour {
        return colour;
    }
    let kind = material.kind.as_ref().map(|kind| kind.value.to_lowercase()).unwrap_or_default();
    match kind.as_str() {
        "wire" | "tinsel" => [0xc9, 0xa5, 0x4a],
        "bead" => [0xb8, 0x86, 0x3b],
        "herl" => [0x3c, 0x4a, 0x34],
        "dubbing" => [0x85, 0x7a, 0x52],
        _ => [0x8c, 0x82, 0x74],
    }
}
