//! The tilts a case holds: the one in the hand, and those kept for comparison.
//!
//! In the file, `held_tilts` is a list of `{ "name", "anterior_deg", "lateral_deg" }`. The one
//! without a name is the one in the hand. What does not look like that is left where it is: the
//! format reserves the key without saying what is in it.

use serde_json::{Map, Value, json};
use tiltbench_case::schema::v1::CaseFile;
use tiltbench_geometry::tilt::Tilt;

/// A tilt kept for comparison.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptTilt {
    /// What the user calls it; unique.
    pub name: String,
    /// The tilt.
    pub tilt: Tilt,
}

/// Decimals kept of an angle in degrees: a tilt read back differs by less than any table shows.
const DECIMALS: f64 = 1e6;

/// The tilt in the hand; flat if none is held.
pub(crate) fn in_hand(file: &CaseFile) -> Tilt {
    entries(file)
        .find(|entry| name_of(entry).is_none())
        .and_then(tilt_of)
        .unwrap_or(Tilt::FLAT)
}

/// The tilts kept by name.
pub(crate) fn kept(file: &CaseFile) -> Vec<KeptTilt> {
    entries(file)
        .filter_map(|entry| {
            Some(KeptTilt {
                name: name_of(entry)?.to_owned(),
                tilt: tilt_of(entry)?,
            })
        })
        .collect()
}

/// Takes a tilt into the hand.
pub(crate) fn hold(file: &mut CaseFile, tilt: Tilt) {
    put(file, None, tilt);
}

/// Keeps a tilt by a name, in place of the one of that name if there is one.
pub(crate) fn keep(file: &mut CaseFile, name: &str, tilt: Tilt) {
    put(file, Some(name), tilt);
}

/// Takes the tilt in the hand out of it.
pub(crate) fn let_go(file: &mut CaseFile) {
    let Some(Value::Array(list)) = &mut file.held_tilts else {
        return;
    };
    list.retain(|entry| name_of(entry).is_some() || tilt_of(entry).is_none());
    if list.is_empty() {
        file.held_tilts = None;
    }
}

/// Drops the tilt of a name; says whether there was one.
pub(crate) fn drop_kept(file: &mut CaseFile, name: &str) -> bool {
    let Some(Value::Array(list)) = &mut file.held_tilts else {
        return false;
    };
    let before = list.len();
    list.retain(|entry| name_of(entry) != Some(name) || tilt_of(entry).is_none());
    let dropped = list.len() < before;
    if list.is_empty() {
        file.held_tilts = None;
    }
    dropped
}

fn entries(file: &CaseFile) -> impl Iterator<Item = &Value> {
    file.held_tilts
        .as_ref()
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
}

fn name_of(entry: &Value) -> Option<&str> {
    entry.get("name").and_then(Value::as_str)
}

fn tilt_of(entry: &Value) -> Option<Tilt> {
    let angle = |key| entry.get(key).and_then(Value::as_f64);
    Tilt::from_degrees(angle("anterior_deg")?, angle("lateral_deg")?).ok()
}

fn put(file: &mut CaseFile, name: Option<&str>, tilt: Tilt) {
    let degrees = |rad: f64| (rad.to_degrees() * DECIMALS).round() / DECIMALS;
    let mut angles = Map::new();
    angles.insert("anterior_deg".into(), json!(degrees(tilt.anterior_rad())));
    angles.insert("lateral_deg".into(), json!(degrees(tilt.lateral_rad())));
    if file.held_tilts.as_ref().is_none_or(|kept| !kept.is_array()) {
        // Something else altogether is kept as the first entry.
        let other = file.held_tilts.take().into_iter().collect();
        file.held_tilts = Some(Value::Array(other));
    }
    let Some(Value::Array(list)) = &mut file.held_tilts else {
        return;
    };
    let found = list
        .iter_mut()
        .find(|entry| name_of(entry) == name && tilt_of(entry).is_some());
    if let Some(Value::Object(entry)) = found {
        entry.extend(angles);
        return;
    }
    let mut entry = Map::new();
    if let Some(name) = name {
        entry.insert("name".into(), json!(name));
    }
    entry.extend(angles);
    list.push(Value::Object(entry));
}

#[cfg(test)]
mod tests {
    use super::*;
    use tiltbench_geometry::frame::Arch;

    fn tilt(anterior: f64, lateral: f64) -> Tilt {
        Tilt::from_degrees(anterior, lateral).unwrap()
    }

    #[test]
    fn one_tilt_is_in_the_hand_and_others_are_kept_by_name() {
        let mut file = CaseFile::new("x", Arch::Mandibular);
        assert_eq!(in_hand(&file), Tilt::FLAT);
        hold(&mut file, tilt(1.0, 2.0));
        keep(&mut file, "mine", tilt(3.0, 0.0));
        hold(&mut file, tilt(-4.5, 0.1));
        assert_eq!(in_hand(&file), tilt(-4.5, 0.1));
        assert_eq!(kept(&file).len(), 1);
        keep(&mut file, "mine", tilt(5.0, 0.0));
        assert_eq!(kept(&file)[0].tilt, tilt(5.0, 0.0));
        assert!(drop_kept(&mut file, "mine") && !drop_kept(&mut file, "mine"));
        let held = json!([{ "anterior_deg": -4.5, "lateral_deg": 0.1 }]);
        assert_eq!(file.held_tilts, Some(held));
    }

    #[test]
    fn what_others_wrote_stays() {
        let mut file = CaseFile::new("x", Arch::Mandibular);
        file.held_tilts = Some(json!([{ "name": "flat" }, 7]));
        assert_eq!((in_hand(&file), kept(&file)), (Tilt::FLAT, Vec::new()));
        hold(&mut file, tilt(1.0, 0.0));
        assert!(!drop_kept(&mut file, "flat"));
        let held = json!([{ "name": "flat" }, 7, { "anterior_deg": 1.0, "lateral_deg": 0.0 }]);
        assert_eq!(file.held_tilts, Some(held));
        file.held_tilts = Some(json!("a text"));
        hold(&mut file, Tilt::FLAT);
        let held = json!(["a text", { "anterior_deg": 0.0, "lateral_deg": 0.0 }]);
        assert_eq!(file.held_tilts, Some(held));
    }

    #[test]
    fn an_angle_survives_to_well_below_a_table() {
        let mut file = CaseFile::new("x", Arch::Mandibular);
        let held = tilt(-7.123_456_789, 1.0 / 3.0);
        hold(&mut file, held);
        let read = in_hand(&file);
        assert!((read.anterior_rad() - held.anterior_rad()).abs() < 1e-8);
        assert!((read.lateral_rad() - held.lateral_rad()).abs() < 1e-8);
    }
}
