//! What copings, walls, zones and sides are called.

use tiltbench_case::Case;
use tiltbench_case::tooth::Tooth;
use tiltbench_geometry::coping::{OpposingPair, Side};
use tiltbench_geometry::frame::Arch;
use tiltbench_sheet::format::words::plain;

/// The names of one case, by the indices the solver uses.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Names<'a> {
    case: &'a Case,
}

impl<'a> Names<'a> {
    pub(crate) fn new(case: &'a Case) -> Self {
        Self { case }
    }

    /// The jaw, which decides on the patient's side of +x.
    pub(crate) fn arch(self) -> Arch {
        self.case.arch()
    }

    /// A coping's id as the file has it.
    pub(crate) fn id(self, coping: usize) -> &'a str {
        &self.case.copings()[coping].id
    }

    fn tooth(self, coping: usize) -> Tooth {
        self.case.teeth()[coping]
    }

    /// A coping for people, short: its id.
    pub(crate) fn coping(self, coping: usize) -> String {
        plain(self.id(coping))
    }

    /// A coping for people: `33 (lower left canine)`, `front (33, lower left canine)`.
    pub(crate) fn coping_in_full(self, coping: usize) -> String {
        let (id, tooth) = (self.coping(coping), self.tooth(coping));
        let name = tooth.name();
        if id == tooth.to_string() {
            format!("{id} ({name})")
        } else {
            format!("{id} ({tooth}, {name})")
        }
    }

    /// The trade's word for a side of a coping.
    pub(crate) fn side(self, coping: usize, side: Side) -> &'static str {
        self.tooth(coping).side_word(side)
    }

    /// A wall for people: `the distal wall of 33 (lower left canine)`.
    pub(crate) fn wall_in_full(self, coping: usize, side: Side) -> String {
        let word = self.side(coping, side);
        format!("the {word} wall of {}", self.coping_in_full(coping))
    }

    /// A pair of opposing walls in the trade's words: `mesial-distal`, `buccal-palatal`.
    pub(crate) fn pair(self, coping: usize, pair: OpposingPair) -> String {
        let [one, other] = pair.sides().map(|side| self.side(coping, side));
        format!("{one}-{other}")
    }

    /// A zone's name as the file has it.
    pub(crate) fn zone_key(self, zone: usize) -> &'a str {
        &self.case.seat_zones()[zone].name
    }

    /// A zone for people.
    pub(crate) fn zone(self, zone: usize) -> String {
        plain(self.zone_key(zone))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    #[test]
    fn names_use_the_words_of_the_trade() {
        let text = r#"{"format": "tiltbench-case", "version": 1, "arch": "maxillary", "copings": [
            {"tooth": "14", "margin_centre": [-19, 8, 0], "axis": [0, 0, 1], "mesial": [0.3, 1, 0],
             "margin_widths_mm": {"mesiodistal": 5, "labiolingual": 7}, "height_mm": 4,
             "walls": {"mesial": {"taper_deg": 3}}},
            {"id": "front", "tooth": "23", "margin_centre": [17, 14, 0], "axis": [0, 0, 1],
             "mesial": [-1, 0.3, 0], "margin_widths_mm": {"mesiodistal": 5, "labiolingual": 7},
             "height_mm": 4, "walls": {"mesial": {"taper_deg": 3}}}]}"#;
        let case = tiltbench_case::parse_case(text, Path::new("")).unwrap();
        let names = Names::new(&case);
        assert_eq!(
            names.wall_in_full(0, Side::Lingual),
            "the palatal wall of 14 (upper right first premolar)"
        );
        assert_eq!(names.pair(0, OpposingPair::Labiolingual), "buccal-palatal");
        assert_eq!(names.pair(1, OpposingPair::Labiolingual), "labial-palatal");
        assert_eq!(names.coping_in_full(1), "front (23, upper left canine)");
    }
}
