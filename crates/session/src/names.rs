//! What copings, walls, zones and sides are called.

use tiltbench_case::Case;
use tiltbench_case::tooth::Tooth;
use tiltbench_geometry::coping::{OpposingPair, Side};
use tiltbench_geometry::frame::Arch;
use tiltbench_sheet::format::words::plain;
use tiltbench_solver::limit::Place;

/// The names of one case, by the indices the solver uses.
#[derive(Debug, Clone, Copy)]
pub struct Names<'a> {
    case: &'a Case,
}

impl<'a> Names<'a> {
    /// The names of a case.
    pub fn new(case: &'a Case) -> Self {
        Self { case }
    }

    /// The case.
    pub fn case(self) -> &'a Case {
        self.case
    }

    /// The jaw, which decides on the patient's side of +x.
    pub fn arch(self) -> Arch {
        self.case.arch()
    }

    /// A coping's id as the file has it; empty if there is no such coping.
    pub fn id(self, coping: usize) -> &'a str {
        self.case.copings().get(coping).map_or("", |c| &c.id)
    }

    fn tooth(self, coping: usize) -> Option<Tooth> {
        self.case.teeth().get(coping).copied()
    }

    /// A coping for people, short: its id.
    pub fn coping(self, coping: usize) -> String {
        plain(self.id(coping))
    }

    /// A coping for people: `33 (lower left canine)`, `front (33, lower left canine)`.
    pub fn coping_in_full(self, coping: usize) -> String {
        let id = self.coping(coping);
        let Some(tooth) = self.tooth(coping) else {
            return id;
        };
        let name = tooth.name();
        if id == tooth.to_string() {
            format!("{id} ({name})")
        } else {
            format!("{id} ({tooth}, {name})")
        }
    }

    /// The trade's word for a side of a coping.
    pub fn side(self, coping: usize, side: Side) -> &'static str {
        self.tooth(coping)
            .map_or(side.key(), |tooth| tooth.side_word(side))
    }

    /// Where a limit holds, short: `33 mesial`, `labial flange with lingual flange`, `table`.
    pub fn place(self, place: Place) -> String {
        match place {
            Place::Wall(coping, side) => {
                format!("{} {}", self.coping(coping), self.side(coping, side))
            }
            Place::Zone(one) => self.zone(one),
            Place::Zones([one, other]) => format!("{} with {}", self.zone(one), self.zone(other)),
            Place::Table => "table".to_owned(),
        }
    }

    /// Where a limit holds, in full: `33 (lower left canine), mesial wall`.
    pub fn place_in_full(self, place: Place) -> String {
        match place {
            Place::Wall(coping, side) => {
                let word = self.side(coping, side);
                format!("{}, {word} wall", self.coping_in_full(coping))
            }
            Place::Zone(one) => self.zone(one),
            Place::Zones([one, other]) => format!("{} and {}", self.zone(one), self.zone(other)),
            Place::Table => "the table".to_owned(),
        }
    }

    /// A wall for people: `the distal wall of 33 (lower left canine)`.
    pub fn wall_in_full(self, coping: usize, side: Side) -> String {
        let word = self.side(coping, side);
        format!("the {word} wall of {}", self.coping_in_full(coping))
    }

    /// A pair of opposing walls in the trade's words: `mesial-distal`, `buccal-palatal`.
    pub fn pair(self, coping: usize, pair: OpposingPair) -> String {
        let [one, other] = pair.sides().map(|side| self.side(coping, side));
        format!("{one}-{other}")
    }

    /// A zone's name as the file has it; empty if there is no such zone.
    pub fn zone_key(self, zone: usize) -> &'a str {
        self.case.seat_zones().get(zone).map_or("", |z| &z.name)
    }

    /// A zone for people.
    pub fn zone(self, zone: usize) -> String {
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
