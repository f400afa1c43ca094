//! The only place with colours and sizes, and the fonts.
//!
//! Quiet where nothing is wrong: stone, paper and graphite. Colour is kept for three meanings, none
//! of which rests on colour alone:
//!
//! * state of a wall (releases, close to binding, undercut): blue, amber, vermilion, each with its own
//!   hatch and word;
//! * depth of an undercut, in steps of the gauge: one scale that darkens step by step from sea green
//!   to ink, so that it reads in grey and with any colour vision; beyond the limit it is striped;
//! * what is held, recommended, or pointed at.
//!
//! Blue, amber and vermilion follow M. Okabe and K. Ito, *Color universal design*, 2008.
//! Contrasts are those of WCAG 2.2 (success criteria 1.4.3 and 1.4.11), and a test computes them.

use egui::{
    Color32, Context, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Shadow,
    Stroke, TextStyle, Theme, Vec2, Visuals,
};
use std::sync::Arc;

/// Colours by meaning, for one of the two themes.
#[derive(Debug, Clone, PartialEq)]
pub struct Palette {
    /// Behind everything.
    pub window: Color32,
    /// Panels and tables.
    pub panel: Color32,
    /// Menus, dialogs, fields.
    pub raised: Color32,
    /// Every other row; the ground of the chart.
    pub sunken: Color32,
    /// Hairlines that only arrange.
    pub line: Color32,
    /// Lines that mean something: borders of fields, axes.
    pub line_strong: Color32,
    /// Text and figures.
    pub text: Color32,
    /// Secondary text; still AA on every ground.
    pub text_weak: Color32,
    /// What can be pressed, and what has the focus.
    pub accent: Color32,
    /// Text on `accent`.
    pub on_accent: Color32,
    /// Ground of what is chosen.
    pub chosen: Color32,
    /// Ground of buttons at rest, under the pointer, pressed.
    pub button: [Color32; 3],
    /// A wall that releases, or a limit that is met with room.
    pub releases: Color32,
    /// A wall within a hand's error of parallel, or a limit met barely.
    pub near_parallel: Color32,
    /// A wall that is undercut, or a limit that is broken.
    pub undercut: Color32,
    /// Text in the colours of the three states, AA on panels.
    pub state_text: [Color32; 3],
    /// Undercut depth up to 0.25, 0.50, 0.75 mm, and deeper; see also [`Palette::beyond`].
    pub depth: [Color32; 4],
    /// Deeper than the zone's limit: stripes of this over the step's colour.
    pub beyond: Color32,
    /// The survey line on the cast and its sign elsewhere.
    pub survey_line: Color32,
    /// The held tilt, and its rod.
    pub held: Color32,
    /// The recommended tilt and its allowance circle.
    pub recommended: Color32,
    /// Pins of alternatives.
    pub pin: Color32,
    /// Fill of the acceptable region of the chart.
    pub acceptable: Color32,
    /// Outline of the common draw region.
    pub common_draw: Color32,
    /// Contour lines of the ridge on the chart.
    pub contour: Color32,
    /// Lit because it is pointed at somewhere.
    pub lit: Color32,
    /// Ground of the caution, and of remarks.
    pub notice: Color32,
    /// The cast as matt stone.
    pub stone: Color32,
    /// Metal of a coping where no wall is.
    pub metal: Color32,
    /// Ground of the view of the cast, top and bottom.
    pub backdrop: [Color32; 2],
}

const fn rgb(hex: u32) -> Color32 {
    let [_, r, g, b] = hex.to_be_bytes();
    Color32::from_rgb(r, g, b)
}

/// By day.
#[expect(
    clippy::unreadable_literal,
    reason = "colours as they are written everywhere"
)]
pub const LIGHT: Palette = Palette {
    window: rgb(0xE6E4DF),
    panel: rgb(0xF5F3EF),
    raised: rgb(0xFDFCFA),
    sunken: rgb(0xECEAE4),
    line: rgb(0xD3CFC7),
    line_strong: rgb(0x86807A),
    text: rgb(0x23211F),
    text_weak: rgb(0x5A5651),
    accent: rgb(0x2F5D6B),
    on_accent: rgb(0xFFFFFF),
    chosen: rgb(0xCFDFE2),
    button: [rgb(0xE4E1DA), rgb(0xD9D6CE), rgb(0xCAC6BD)],
    releases: rgb(0x0072B2),
    near_parallel: rgb(0xB47600),
    undercut: rgb(0xC84E00),
    state_text: [rgb(0x005A8C), rgb(0x7A5000), rgb(0xA33C00)],
    depth: [rgb(0x6AA890), rgb(0x37868C), rgb(0x286487), rgb(0x2A3A6E)],
    beyond: rgb(0x14102A),
    survey_line: rgb(0x8E1B3A),
    held: rgb(0x23211F),
    recommended: rgb(0x1F6B52),
    pin: rgb(0x5A5651),
    acceptable: rgb(0xC9DFCB),
    common_draw: rgb(0x2F5D6B),
    contour: rgb(0x807056),
    lit: rgb(0xB0129A),
    notice: rgb(0xF3E8CF),
    stone: rgb(0xD8CDB8),
    metal: rgb(0xB4B2AC),
    backdrop: [rgb(0xF0EEEA), rgb(0xDAD7D0)],
};

/// By night.
#[expect(
    clippy::unreadable_literal,
    reason = "colours as they are written everywhere"
)]
pub const DARK: Palette = Palette {
    window: rgb(0x17191B),
    panel: rgb(0x1F2225),
    raised: rgb(0x292D31),
    sunken: rgb(0x1A1C1F),
    line: rgb(0x363B40),
    line_strong: rgb(0x7E868D),
    text: rgb(0xE8E6E2),
    text_weak: rgb(0xB2B6B9),
    accent: rgb(0x7DB8C6),
    on_accent: rgb(0x0E1A1D),
    chosen: rgb(0x294349),
    button: [rgb(0x33383D), rgb(0x3D4349), rgb(0x495057)],
    releases: rgb(0x56B4E9),
    near_parallel: rgb(0xE69F00),
    undercut: rgb(0xFF7A3D),
    state_text: [rgb(0x7CC4EE), rgb(0xF0B541), rgb(0xFF9A6A)],
    depth: [rgb(0x6AA890), rgb(0x37868C), rgb(0x286487), rgb(0x2A3A6E)],
    beyond: rgb(0x14102A),
    survey_line: rgb(0xC22A54),
    held: rgb(0xF4F2EE),
    recommended: rgb(0x6FCBA5),
    pin: rgb(0xB9BDC0),
    acceptable: rgb(0x2D4A3A),
    common_draw: rgb(0x7DB8C6),
    contour: rgb(0x9A8F78),
    lit: rgb(0xFF7DEB),
    notice: rgb(0x3B3423),
    stone: rgb(0xCBBFA8),
    metal: rgb(0xA5A5A3),
    backdrop: [rgb(0x2A2E32), rgb(0x191B1D)],
};

/// The colours of the theme a piece of interface is drawn in.
pub fn palette(ui: &egui::Ui) -> &'static Palette {
    if ui.visuals().dark_mode {
        &DARK
    } else {
        &LIGHT
    }
}

/// Sizes in points, at 100 %.
pub mod size {
    /// Figures, tables, text.
    pub const BODY: f32 = 13.5;
    /// Captions, axis labels, units.
    pub const SMALL: f32 = 12.0;
    /// Headings of panels.
    pub const HEADING: f32 = 16.0;
    /// The one figure a screen is about.
    pub const FIGURE: f32 = 22.0;
    /// Height of a row that is read.
    pub const ROW: f32 = 22.0;
    /// Height of what is touched.
    pub const TOUCH: f32 = 30.0;
    /// Between things that belong together.
    pub const GAP: f32 = 6.0;
    /// Between groups, and around a panel's content.
    pub const PAD: f32 = 12.0;
    /// Corner radius.
    pub const ROUND: u8 = 4;
    /// A hairline.
    pub const HAIR: f32 = 1.0;
    /// A line that is looked at.
    pub const LINE: f32 = 1.75;
    /// Radius of a handle that is dragged.
    pub const HANDLE: f32 = 7.0;
    /// Width of the panel beside the cast, steps and what belongs to the step: in a narrow window,
    /// and in a wide one.
    pub const SIDE: [f32; 2] = [276.0, 320.0];
    /// Least width of the chart's panel.
    pub const CHART: f32 = 300.0;
    /// Least height of the ledger's panel.
    pub const LEDGER: f32 = 130.0;
    /// Height the views above the ledger have before it.
    pub const VIEWS: f32 = 338.0;
    /// Height of a ledger that shows two copings and their zones.
    pub const LEDGER_OF_TWO: f32 = 352.0;
}

/// Family of semi-bold text.
pub fn strong_family() -> FontFamily {
    FontFamily::Name("strong".into())
}

/// Semi-bold text of a size in points.
pub fn strong(size: f32) -> FontId {
    FontId::new(size, strong_family())
}

/// Plain text of a size in points.
pub fn plain(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

/// Gives a context the fonts, colours and spacing. Call once, before the first frame.
pub fn install(ctx: &Context) {
    ctx.set_fonts(fonts());
    for (theme, palette) in [(Theme::Light, &LIGHT), (Theme::Dark, &DARK)] {
        let mut style = egui::Style::clone(&ctx.style_of(theme));
        style.visuals = visuals(theme, palette);
        style.text_styles = [
            (TextStyle::Small, plain(size::SMALL)),
            (TextStyle::Body, plain(size::BODY)),
            (TextStyle::Button, plain(size::BODY)),
            (TextStyle::Heading, strong(size::HEADING)),
            (
                TextStyle::Monospace,
                FontId::new(size::BODY, FontFamily::Monospace),
            ),
        ]
        .into();
        let spacing = &mut style.spacing;
        spacing.item_spacing = Vec2::new(size::GAP, size::GAP);
        spacing.button_padding = Vec2::new(9.0, 4.0);
        spacing.interact_size = Vec2::new(36.0, size::ROW);
        spacing.window_margin = Margin::same(16);
        spacing.menu_margin = Margin::same(6);
        spacing.tooltip_width = 380.0;
        spacing.combo_width = 90.0;
        // A bar that is always there says that there is more than is seen.
        spacing.scroll = egui::style::ScrollStyle {
            bar_width: 7.0,
            bar_inner_margin: 3.0,
            bar_outer_margin: 0.0,
            ..egui::style::ScrollStyle::solid()
        };
        // Figures at the foot of a list are as good as any: none looks out of date.
        spacing.scroll.fade.strength = 0.0;
        style.animation_time = 0.06;
        style.interaction.selectable_labels = false;
        ctx.set_style_of(theme, style);
    }
}

fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    let inter: [(&str, &'static [u8]); 2] = [
        (
            "Inter",
            include_bytes!("../../../assets/fonts/Inter-Regular.ttf"),
        ),
        (
            "Inter SemiBold",
            include_bytes!("../../../assets/fonts/Inter-SemiBold.ttf"),
        ),
    ];
    for (name, bytes) in inter {
        let data = Arc::new(FontData::from_static(bytes));
        fonts.font_data.insert(name.to_owned(), data);
    }
    let plain = fonts.families.entry(FontFamily::Proportional).or_default();
    let mut strong = plain.clone();
    plain.insert(0, "Inter".to_owned());
    strong.insert(0, "Inter SemiBold".to_owned());
    fonts.families.insert(strong_family(), strong);
    fonts
}

fn visuals(theme: Theme, p: &Palette) -> Visuals {
    let mut v = match theme {
        Theme::Dark => Visuals::dark(),
        Theme::Light => Visuals::light(),
    };
    let round = CornerRadius::same(size::ROUND);
    let quiet = Shadow {
        offset: [0, 3],
        blur: 12,
        spread: 0,
        color: Color32::from_black_alpha(60),
    };
    v.window_fill = p.raised;
    v.panel_fill = p.panel;
    v.extreme_bg_color = p.raised;
    v.faint_bg_color = p.sunken;
    v.code_bg_color = p.sunken;
    v.window_stroke = Stroke::new(size::HAIR, p.line_strong);
    v.window_corner_radius = CornerRadius::same(size::ROUND + 2);
    v.menu_corner_radius = round;
    v.window_shadow = quiet;
    v.popup_shadow = quiet;
    v.hyperlink_color = p.accent;
    v.warn_fg_color = p.state_text[1];
    v.error_fg_color = p.state_text[2];
    v.weak_text_color = Some(p.text_weak);
    v.selection.bg_fill = p.chosen;
    v.selection.stroke = Stroke::new(size::LINE, p.text);
    v.text_cursor.stroke = Stroke::new(size::LINE, p.accent);
    v.text_cursor.blink = false;
    let grounds = [
        (&mut v.widgets.noninteractive, p.panel, p.line, p.text),
        (&mut v.widgets.inactive, p.button[0], p.line, p.text),
        (&mut v.widgets.hovered, p.button[1], p.line_strong, p.text),
        (&mut v.widgets.active, p.button[2], p.accent, p.text),
        (&mut v.widgets.open, p.button[1], p.line_strong, p.text),
    ];
    for (widget, ground, border, text) in grounds {
        widget.bg_fill = ground;
        widget.weak_bg_fill = ground;
        widget.bg_stroke = Stroke::new(size::HAIR, border);
        widget.fg_stroke = Stroke::new(size::HAIR, text);
        widget.corner_radius = round;
        widget.expansion = 0.0;
    }
    v
}

/// Contrast of two opaque colours, 1 to 21.
///
/// Source: WCAG 2.2, W3C Recommendation 2023, definitions of contrast ratio and relative luminance.
pub fn contrast(a: Color32, b: Color32) -> f64 {
    let luminance = |c: Color32| {
        let [r, g, b] = [c.r(), c.g(), c.b()].map(|channel| {
            let s = f64::from(channel) / 255.0;
            if s <= 0.04045 {
                s / 12.92
            } else {
                ((s + 0.055) / 1.055).powf(2.4)
            }
        });
        0.2126 * r + 0.7152 * g + 0.0722 * b
    };
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: f64 = 4.5;
    const SHAPE: f64 = 3.0;

    #[test]
    fn text_and_signs_are_read_on_every_ground() {
        for (name, p) in [("light", &LIGHT), ("dark", &DARK)] {
            let grounds = [p.window, p.panel, p.raised, p.sunken, p.notice, p.chosen];
            for ground in grounds {
                for text in [p.text, p.text_weak] {
                    let found = contrast(text, ground);
                    assert!(found >= TEXT, "{name}: {text:?} on {ground:?}: {found:.2}");
                }
            }
            for ground in [p.panel, p.raised, p.sunken] {
                for text in p.state_text {
                    let found = contrast(text, ground);
                    assert!(found >= TEXT, "{name}: {text:?} on {ground:?}: {found:.2}");
                }
                for shape in [
                    p.accent,
                    p.line_strong,
                    p.releases,
                    p.near_parallel,
                    p.undercut,
                    p.held,
                    p.recommended,
                    p.pin,
                    p.common_draw,
                    p.lit,
                ] {
                    let found = contrast(shape, ground);
                    assert!(
                        found >= SHAPE,
                        "{name}: {shape:?} on {ground:?}: {found:.2}"
                    );
                }
            }
            for button in p.button {
                assert!(contrast(p.text, button) >= TEXT, "{name}: {button:?}");
            }
            assert!(contrast(p.on_accent, p.accent) >= TEXT, "{name}");
            assert!(contrast(p.held, p.acceptable) >= SHAPE, "{name}");
            assert!(contrast(p.recommended, p.acceptable) >= SHAPE, "{name}");
            assert!(contrast(p.survey_line, p.stone) >= SHAPE, "{name}");
            for ground in [p.acceptable, p.sunken, p.raised] {
                let found = contrast(p.contour, ground);
                assert!(found >= SHAPE, "{name}: contour on {ground:?}: {found:.2}");
            }
        }
    }

    /// Each step is darker than the one before by an amount that is seen in grey, the first than the
    /// stone: where an undercut begins is what is looked for.
    #[test]
    fn depth_steps_darken() {
        for p in [&LIGHT, &DARK] {
            let scale = [&[p.stone], p.depth.as_slice(), &[p.beyond]].concat();
            for pair in scale.windows(2) {
                let found = contrast(pair[0], pair[1]);
                assert!(found >= 1.5, "{pair:?}: {found:.2}");
            }
        }
    }
}
