//! Things in the window that are touched by what they are called.

use crate::bench::Bench;
use crate::driver::name_of;
use crate::moves::{Hands, Touch};
use egui::accesskit::{self, Role};
use egui::{Event, Key, Modifiers, PointerButton, Pos2, Rect};
use egui_kittest::Node;
use egui_kittest::kittest::NodeT as _;
use std::hash::{DefaultHasher, Hash, Hasher};

impl Bench {
    /// Of all that a condition holds for, what a number picks by role and name: another thing that came or
    /// went meanwhile mostly leaves the choice as it was.
    fn picked(&self, pick: u64, holds: impl Fn(&Node<'_>) -> bool) -> Option<Target> {
        let weight = |node: &Node<'_>| {
            let mut hasher = DefaultHasher::new();
            (
                pick,
                format!("{:?}", node.accesskit_node().role()),
                name_of(node),
            )
                .hash(&mut hasher);
            hasher.finish()
        };
        self.first(holds, weight)
    }

    /// Of all that a condition holds for, the first in an order.
    fn first<K: Ord>(
        &self,
        holds: impl Fn(&Node<'_>) -> bool,
        order: impl Fn(&Node<'_>) -> K,
    ) -> Option<Target> {
        let root = self.harness.root();
        let all = root.children_recursive().filter(holds);
        let node = all.min_by_key(order)?.accesskit_node();
        let (id, tree) = node.locate();
        let bounds = node.bounding_box()?;
        let scale = f64::from(self.harness.ctx.pixels_per_point());
        #[expect(clippy::cast_possible_truncation, reason = "a place on screen")]
        let point = |x: f64, y: f64| Pos2::new((x / scale) as f32, (y / scale) as f32);
        let [min, max] = [point(bounds.x0, bounds.y0), point(bounds.x1, bounds.y1)];
        Some(Target {
            id,
            tree,
            rect: Rect { min, max },
        })
    }

    pub(crate) fn touch(&mut self, pick: u64, touch: Touch) {
        // Work that is to be found again is not let go, and saved by keys alone, before which it can be told.
        let spared = |node: &Node<'_>| {
            let name = name_of(node);
            self.hands == Hands::Working && (name == "Discard changes" || name.contains("Save"))
        };
        let Some(target) = self.picked(pick, |node| acts(node) && !spared(node)) else {
            return;
        };
        let centre = target.rect.center();
        let action = match touch {
            Touch::Click => return self.click(centre, PointerButton::Primary, Modifiers::NONE),
            Touch::Second => return self.click(centre, PointerButton::Secondary, Modifiers::NONE),
            Touch::Press => accesskit::Action::Click,
            Touch::More => accesskit::Action::Increment,
            Touch::Less => accesskit::Action::Decrement,
            Touch::Focus => accesskit::Action::Focus,
            Touch::Show => accesskit::Action::ScrollIntoView,
        };
        self.give([target.asked(action)]);
    }

    /// Types into a field, in place of what there is.
    pub(crate) fn fill(&mut self, pick: u64, text: &str) {
        let Some(target) = self.picked(pick, is_field) else {
            return;
        };
        self.give([target.asked(accesskit::Action::ScrollIntoView)]);
        let Some(target) = self.picked(pick, is_field) else {
            return;
        };
        self.click(
            target.rect.center(),
            PointerButton::Primary,
            Modifiers::NONE,
        );
        self.press(Modifiers::COMMAND, Key::A);
        self.give([Event::Text(text.to_owned())]);
        self.press(Modifiers::NONE, Key::Enter);
    }

    /// Presses the first button of a name, if there is one; says whether.
    pub(crate) fn push(&mut self, named: impl Fn(&str) -> bool) -> bool {
        let button =
            |node: &Node<'_>| node.accesskit_node().role() == Role::Button && named(&name_of(node));
        let target = self.first(button, |node| {
            let bounds = node.accesskit_node().bounding_box();
            #[expect(clippy::cast_possible_truncation, reason = "the order of places")]
            bounds.map_or(i64::MAX, |bounds| bounds.y0 as i64)
        });
        if let Some(target) = &target {
            self.give([target.asked(accesskit::Action::Click)]);
            self.rest(2);
        }
        target.is_some()
    }
}

/// Something in the window.
struct Target {
    id: accesskit::NodeId,
    tree: accesskit::TreeId,
    rect: Rect,
}

impl Target {
    /// What assistive technology asks of it.
    fn asked(&self, action: accesskit::Action) -> Event {
        Event::AccessKitActionRequest(accesskit::ActionRequest {
            action,
            target_tree: self.tree,
            target_node: self.id,
            data: None,
        })
    }
}

fn acts(node: &Node<'_>) -> bool {
    use accesskit::Action::{Click, Increment, SetValue};
    let node = node.accesskit_node();
    let acts = [Click, Increment, SetValue].map(|action| node.data().supports_action(action));
    acts.contains(&true) && !node.is_hidden()
}

fn is_field(node: &Node<'_>) -> bool {
    let role = node.accesskit_node().role();
    [Role::SpinButton, Role::TextInput].contains(&role)
}
