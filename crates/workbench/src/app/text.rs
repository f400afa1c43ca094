//! A text the case owns, in a field: it becomes a command when the field is left.

use super::look::call;
use egui::{Id, Key, TextEdit, Ui};

/// Shows a text, and gives it once it was changed and the field left; Escape leaves it as it was.
/// `field` sets the field up.
pub(super) fn text_ui(
    ui: &mut Ui,
    (id, name): (Id, &str),
    stored: &str,
    field: impl FnOnce(TextEdit<'_>) -> TextEdit<'_>,
) -> Option<String> {
    let typed = ui.data(|data| data.get_temp::<String>(id));
    let mut text = typed.unwrap_or_else(|| stored.to_owned());
    let response = ui.add(field(TextEdit::singleline(&mut text).id(id)));
    call(&response, name);
    if response.has_focus() {
        ui.data_mut(|data| data.insert_temp(id, text));
        return None;
    }
    ui.data_mut(|data| data.remove::<String>(id));
    let called_off = ui.input(|input| input.key_pressed(Key::Escape));
    (response.lost_focus() && !called_off && text != stored).then_some(text)
}
