//! Whether a scan has the size of a dental cast, and which unit would give it that size.

use super::unit::Unit;

/// Width of a full-arch cast, mm: land and base included, seen along its longest side.
/// Source: common practice (from memory); no standard states it.
pub const CAST_MM: [f64; 2] = [40.0, 110.0];

/// Sizes at which the stated unit is believed, mm. Tuned: a cast of one quadrant is about 25 mm and
/// a large base or an articulator plate up to 200 mm; narrower, and these are called wrong; as wide
/// as a factor of 10, and centimetres pass for millimetres. `the_unit_is_told_by_the_size` notices.
pub const BELIEVED_MM: [f64; 2] = [20.0, 200.0];

/// What a scan's size says of its unit.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeVerdict {
    /// Longest side of the scan's box in the stated unit, mm.
    pub longest_mm: f64,
    /// The unit the scan is probably in: the stated one if its size can be believed, else the one
    /// that brings the size nearest to that of a cast; `None` if none does.
    pub likely: Option<Unit>,
    /// Whether the stated unit can be believed.
    pub believed: bool,
    /// What to tell the user, if anything.
    pub remark: Option<String>,
}

/// Judges the longest side of a scan's box, given in the scan's own numbers, against a dental cast.
/// Decides nothing: a scan of anything else is read all the same.
pub fn judge_size(longest: f64, stated: Unit) -> SizeVerdict {
    let within = |size: f64, [least, most]: [f64; 2]| (least..=most).contains(&size);
    let longest_mm = longest * stated.mm();
    if within(longest_mm, BELIEVED_MM) {
        let usual = within(longest_mm, CAST_MM);
        return SizeVerdict {
            longest_mm,
            likely: Some(stated),
            believed: true,
            remark: (!usual).then(|| {
                format!(
                    "the scan is {} across, and a full-arch cast is about {} to {} mm (common \
                     practice); if that surprises you, check scan_unit, now {stated}",
                    millimetres(longest_mm),
                    CAST_MM[0],
                    CAST_MM[1],
                )
            }),
        };
    }
    // Distance on a scale of ratios from the middle of the usual sizes; the first of equals.
    let middle = (CAST_MM[0] * CAST_MM[1]).sqrt();
    let off = |unit: &Unit| (longest * unit.mm() / middle).ln().abs();
    let likely = Unit::ALL
        .into_iter()
        .filter(|unit| within(longest * unit.mm(), BELIEVED_MM))
        .min_by(|a, b| off(a).total_cmp(&off(b)));
    let advice = likely.map_or_else(
        || "no unit would make it one: check that this is the right scan".to_owned(),
        |unit| {
            format!(
                "in {} it would be {}: if it is a cast, set scan_unit to \"{unit}\"",
                unit.plural(),
                millimetres(longest * unit.mm())
            )
        },
    );
    SizeVerdict {
        longest_mm,
        likely,
        believed: false,
        remark: Some(format!(
            "in {} the scan is {} across, and a full-arch cast is about {} to \
             {} mm (common practice); {advice}",
            stated.plural(),
            millimetres(longest_mm),
            CAST_MM[0],
            CAST_MM[1],
        )),
    }
}

/// A length for people: about three significant figures, whatever its size.
pub(crate) fn millimetres(value: f64) -> String {
    let size = value.abs();
    if size >= 1e6 || (size < 1e-3 && size > 0.0) {
        format!("{value:.2e} mm")
    } else if size >= 100.0 {
        format!("{value:.0} mm")
    } else if size >= 1.0 {
        format!("{value:.1} mm")
    } else {
        format!("{value:.4} mm")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_unit_is_told_by_the_size() {
        // A cast 66 mm across in each unit, taken for millimetres.
        for (unit, longest) in [
            (Unit::Metre, 0.066),
            (Unit::Centimetre, 6.6),
            (Unit::Inch, 66.0 / 25.4),
            (Unit::Micrometre, 66_000.0),
        ] {
            let verdict = judge_size(longest, Unit::Millimetre);
            assert_eq!(verdict.likely, Some(unit));
            assert!(!verdict.believed);
            let remark = verdict.remark.unwrap();
            let advice = format!(
                "in {} it would be 66.0 mm: if it is a cast, set scan_unit to \"{unit}\"",
                unit.plural()
            );
            assert!(remark.contains(&advice), "{remark}");
            // Stated rightly, there is nothing to say.
            let verdict = judge_size(longest, unit);
            assert_eq!((verdict.likely, verdict.remark), (Some(unit), None));
            assert!((verdict.longest_mm - 66.0).abs() < 1e-9);
        }
        assert_eq!(judge_size(66.0, Unit::Millimetre).remark, None);
    }

    #[test]
    fn a_quadrant_or_a_large_base_keeps_the_stated_unit() {
        for longest in [25.0, 180.0] {
            let verdict = judge_size(longest, Unit::Millimetre);
            assert!(verdict.believed);
            assert_eq!(verdict.likely, Some(Unit::Millimetre));
            assert!(verdict.remark.unwrap().contains("full-arch cast"));
        }
    }

    #[test]
    fn no_unit_fits_a_point_or_a_planet() {
        for longest in [0.0, 1e-7, 9e8] {
            let verdict = judge_size(longest, Unit::Millimetre);
            assert_eq!(verdict.likely, None, "{longest}");
            assert!(
                verdict
                    .remark
                    .unwrap()
                    .contains("no unit would make it one")
            );
        }
    }

    #[test]
    fn between_inches_and_centimetres_the_nearer_to_a_cast_wins() {
        // 3.0 is 76 mm in inches and 30 mm in centimetres.
        assert_eq!(judge_size(3.0, Unit::Millimetre).likely, Some(Unit::Inch));
        assert_eq!(
            judge_size(7.0, Unit::Millimetre).likely,
            Some(Unit::Centimetre)
        );
    }
}
