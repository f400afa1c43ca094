// The cast as matt stone, copings, rods, and lines; colours are as on screen (gamma), alpha 1.

struct Frame {
    clip_from_cast: mat4x4<f32>,
    // Axes of the picture in the cast frame; w of `back` is 1 in perspective.
    right: vec4<f32>,
    up: vec4<f32>,
    back: vec4<f32>,
    eye: vec4<f32>,
    draw: vec4<f32>,
    // What lies on the positive side of the plane (normal, offset) is cut away.
    section: vec4<f32>,
    // Width and height in pixels, pixels a point, 1 while figures are stale.
    screen: vec4<f32>,
    stone: vec4<f32>,
    inside: vec4<f32>,
    depth: array<vec4<f32>, 4>,
    beyond: vec4<f32>,
    lit: vec4<f32>,
    // Limit of each zone in mm, and 1 where it is lit.
    zones: array<vec4<f32>, 256>,
};

@group(0) @binding(0) var<uniform> frame: Frame;

// A gamma of 2, near enough to a screen's: powers cost more than all the rest where there is no graphics card.
fn linear_from_gamma(c: vec3<f32>) -> vec3<f32> { return c * c; }
fn gamma_from_linear(c: vec3<f32>) -> vec3<f32> { return sqrt(max(c, vec3<f32>(0.0))); }

fn toward_eye(at: vec3<f32>) -> vec3<f32> {
    if (frame.back.w > 0.5) { return normalize(frame.eye.xyz - at); }
    return frame.back.xyz;
}

// Light as on a bench: a lamp over the left shoulder, a window at the right, and the room.
// `n`: of length 1. The lights are unit vectors along right, up and back.
fn shade(colour: vec3<f32>, n: vec3<f32>) -> vec3<f32> {
    let along = vec3<f32>(dot(n, frame.right.xyz), dot(n, frame.up.xyz), dot(n, frame.back.xyz));
    let lamp = vec3<f32>(-0.4604, 0.6278, 0.6278);
    let window = vec3<f32>(0.8700, 0.0967, 0.4834);
    let room = 0.5 + 0.5 * along.y;
    let facing = max(along.z, 0.0);
    let key = max(dot(along, lamp), 0.0);
    let fill = max(dot(along, window), 0.0);
    let light = 0.20 + 0.12 * room + 0.16 * facing + 0.62 * key + 0.16 * fill;
    return gamma_from_linear(linear_from_gamma(colour) * light);
}

fn stripes(at: f32, period: f32, share: f32) -> f32 {
    let along = at / period;
    let wide = max(fwidth(along), 1e-4);
    let from_middle = abs(fract(along) - 0.5);
    // Where stripes are finer than pixels they become their mean.
    let sharp = smoothstep(0.5 * share + wide, 0.5 * share - wide, from_middle);
    return mix(sharp, share, clamp(2.0 * wide - 0.5, 0.0, 1.0));
}

fn cut_away(at: vec3<f32>) -> bool {
    return dot(frame.section.xyz, at) - frame.section.w > 0.0 && dot(frame.section.xyz, frame.section.xyz) > 0.5;
}

struct CastOut {
    @builtin(position) clip: vec4<f32>,
    @location(0) at: vec3<f32>,
    @location(1) normal: vec3<f32>,
    @location(2) depth_mm: f32,
    @location(3) @interpolate(flat) zone: u32,
};

@vertex
fn cast_vertex(@location(0) position: vec3<f32>, @location(1) normal: vec4<f32>, @location(2) packed: u32) -> CastOut {
    var out: CastOut;
    out.clip = frame.clip_from_cast * vec4<f32>(position, 1.0);
    out.at = position;
    out.normal = normal.xyz;
    out.depth_mm = f32(packed & 0xffffu) / 1000.0;
    out.zone = (packed >> 16u) & 0xffu;
    return out;
}

fn stone_at(in: CastOut) -> vec4<f32> {
    // Derivatives before any branch.
    let across = 0.7071 * dot(in.at, frame.right.xyz + frame.up.xyz);
    let hatch = stripes(across, 0.9, 0.45);
    let lit_hatch = stripes(in.at.x + in.at.y + in.at.z, 3.0, 0.13);
    var normal = normalize(in.normal);
    if (dot(normal, toward_eye(in.at)) < -0.12) {
        // The inside of the shell.
        return vec4<f32>(shade(frame.inside.rgb, -normal), 1.0);
    }
    var colour = frame.stone.rgb;
    if (in.zone < 255u) {
        let zone = frame.zones[in.zone];
        if (in.depth_mm > 0.02) {
            var band = frame.depth[0].rgb;
            if (in.depth_mm > 0.25) { band = frame.depth[1].rgb; }
            if (in.depth_mm > 0.50) { band = frame.depth[2].rgb; }
            if (in.depth_mm > 0.75) { band = frame.depth[3].rgb; }
            if (in.depth_mm > zone.x) { band = mix(band, frame.beyond.rgb, hatch); }
            // While figures are stale the bands are pale.
            colour = mix(band, colour, 0.6 * frame.screen.w);
        } else {
            colour = colour * 0.965;
        }
        // Lit: sparse stripes, and a tint where no band would be hidden by it.
        let tint = select(0.0, 0.22, in.depth_mm <= 0.02);
        colour = mix(colour, frame.lit.rgb, zone.y * max(tint, 0.85 * lit_hatch));
    }
    return vec4<f32>(shade(colour, normal), 1.0);
}

// Nothing is thrown away, so that what is hidden need not be shaded.
@fragment
fn cast_fragment(in: CastOut) -> @location(0) vec4<f32> {
    return stone_at(in);
}

@fragment
fn cut_cast_fragment(in: CastOut) -> @location(0) vec4<f32> {
    let colour = stone_at(in);
    if (cut_away(in.at)) { discard; }
    return colour;
}

struct SolidOut {
    @builtin(position) clip: vec4<f32>,
    @location(0) at: vec3<f32>,
    @location(1) normal: vec3<f32>,
    @location(2) colour: vec4<f32>,
    @location(3) place: vec2<f32>,
    @location(4) @interpolate(flat) pattern: u32,
};

@vertex
fn solid_vertex(@location(0) position: vec3<f32>, @location(1) normal: vec4<f32>, @location(2) colour: vec4<f32>,
                @location(3) place: vec2<f32>, @location(4) pattern: u32) -> SolidOut {
    var out: SolidOut;
    // A scan often holds the surface of the coping itself: drawn a little nearer, along the line of
    // sight, the coping is what shows, and at the same place.
    let nearer = position + 0.4 * toward_eye(position);
    out.clip = frame.clip_from_cast * vec4<f32>(nearer, 1.0);
    out.at = position;
    out.normal = normal.xyz;
    out.colour = colour;
    out.place = place;
    out.pattern = pattern;
    return out;
}

@fragment
fn solid_fragment(in: SolidOut) -> @location(0) vec4<f32> {
    let level = stripes(in.place.y, 0.8, 0.5);
    let crossed = max(stripes(in.place.x + in.place.y, 0.9, 0.4), stripes(in.place.x - in.place.y, 0.9, 0.4));
    if (cut_away(in.at)) { discard; }
    var colour = in.colour.rgb;
    // 1: close to binding, level stripes. 2: undercut, crossed stripes.
    let light = mix(colour, vec3<f32>(1.0), 0.55);
    if (in.pattern == 1u) { colour = mix(light, colour, level); }
    if (in.pattern == 2u) { colour = mix(light, colour, crossed); }
    var normal = normalize(in.normal);
    if (dot(normal, toward_eye(in.at)) < 0.0) { normal = -normal; }
    return vec4<f32>(shade(colour, normal), 1.0);
}

struct LineOut {
    @builtin(position) clip: vec4<f32>,
    @location(0) colour: vec4<f32>,
    @location(1) at: vec3<f32>,
};

// A piece of line as a strip of two triangles, `width` points wide on screen, a little nearer than
// the stone it lies on.
@vertex
fn line_vertex(@builtin(vertex_index) index: u32, @location(0) from_: vec3<f32>, @location(1) to_: vec3<f32>,
               @location(2) colour: vec4<f32>, @location(3) width: f32) -> LineOut {
    let a = frame.clip_from_cast * vec4<f32>(from_, 1.0);
    let b = frame.clip_from_cast * vec4<f32>(to_, 1.0);
    let half_screen = 0.5 * frame.screen.xy;
    let a_px = a.xy / a.w * half_screen;
    let b_px = b.xy / b.w * half_screen;
    var along = b_px - a_px;
    let length_px = length(along);
    along = select(vec2<f32>(1.0, 0.0), along / length_px, length_px > 1e-6);
    let across = vec2<f32>(-along.y, along.x);
    let half_width = 0.5 * width * frame.screen.z;
    let side = select(-1.0, 1.0, (index & 1u) == 1u);
    let at_end = index >= 2u;
    let end = select(a, b, at_end);
    let beyond = select(-0.5, 0.5, at_end) * half_width;
    let offset_px = across * side * half_width + along * beyond;
    var out: LineOut;
    out.clip = vec4<f32>(end.xy + offset_px / half_screen * end.w, end.z - 0.0012 * end.w, end.w);
    out.colour = colour;
    out.at = select(from_, to_, at_end);
    return out;
}

@fragment
fn line_fragment(in: LineOut) -> @location(0) vec4<f32> {
    let fade = mix(1.0, 0.45, frame.screen.w);
    if (dot(frame.section.xyz, in.at) - frame.section.w > 0.05 && dot(frame.section.xyz, frame.section.xyz) > 0.5) { discard; }
    return vec4<f32>(in.colour.rgb * in.colour.a * fade, in.colour.a * fade);
}
