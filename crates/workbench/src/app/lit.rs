//! What the panel of the step lights in the views: what is pointed at in it, else what has the keyboard.

use super::intent::Intent;
use crate::pointed::Pointed;
use egui::Response;

/// Lights something while a control is pointed at or has the keyboard.
pub(super) fn lights(response: &Response, pointed: &Pointed, out: &mut Vec<Intent>) {
    if response.hovered() {
        out.push(Intent::Points(Some(pointed.clone())));
    } else if response.has_focus() {
        out.push(Intent::Shows(pointed.clone()));
    }
}

/// What the panel lit last.
#[derive(Debug, Default)]
pub(super) struct PanelLight(Option<Pointed>);

impl PanelLight {
    /// Leaves of what the panel said in a frame one wish to light something, and that only when it is
    /// another one than before: so that nothing stays lit, and other views are heard as well.
    pub(super) fn settle(&mut self, said: &mut Vec<Intent>) {
        let (mut under, mut focused) = (None, None);
        said.retain(|intent| match intent {
            Intent::Points(pointed) => {
                under.clone_from(pointed);
                false
            }
            Intent::Shows(pointed) => {
                focused = Some(pointed.clone());
                false
            }
            _ => true,
        });
        let now = under.or(focused);
        if now != self.0 {
            self.0.clone_from(&now);
            said.push(Intent::Points(now));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settled(light: &mut PanelLight, mut said: Vec<Intent>) -> Vec<Option<String>> {
        light.settle(&mut said);
        let lit = said.into_iter().map(|intent| match intent {
            Intent::Points(pointed) => pointed.and_then(|p| p.coping().map(str::to_owned)),
            other => panic!("{other:?}"),
        });
        lit.collect()
    }

    #[test]
    fn what_is_pointed_at_is_lit_once_and_put_out_once() {
        let mut light = PanelLight::default();
        let coping = |id: &str| Pointed::Coping(id.into());
        let points = |id| Intent::Points(Some(coping(id)));
        let shows = |id| Intent::Shows(coping(id));
        let (one, other) = (Some("33".to_owned()), Some("43".to_owned()));
        assert_eq!(settled(&mut light, vec![points("33")]), vec![one.clone()]);
        assert_eq!(settled(&mut light, vec![points("33")]), []);
        // The pointer goes before the keyboard, whatever stands first.
        assert_eq!(
            settled(&mut light, vec![points("43"), shows("33")]),
            [other]
        );
        assert_eq!(settled(&mut light, vec![shows("33")]), [one]);
        assert_eq!(settled(&mut light, vec![]), [None]);
        assert_eq!(settled(&mut light, vec![]), []);
    }
}
