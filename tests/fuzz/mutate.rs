//! How a sound file is spoiled: a few mutations, each of a kind that readers are known to stumble over.

use mutatis::{Candidates, Context, Mutate, Result, Session};

/// Words of the scan formats, and numbers that are hard to bear.
pub(crate) const SCAN_WORDS: &[&[u8]] = &[
    b"solid ",
    b"facet ",
    b"normal ",
    b"outer loop",
    b"vertex ",
    b"endloop",
    b"endfacet",
    b"endsolid",
    b"v ",
    b"f ",
    b"g ",
    b"1/1/1",
    b"\\\n",
    b"ply\n",
    b"format binary_little_endian 1.0\n",
    b"format ascii 1.0\n",
    b"element face 4294967295\n",
    b"element vertex 99999999999999999999\n",
    b"element x 3\n",
    b"property list uchar uint vertex_indices\n",
    b"property list int int vertex_index\n",
    b"property float x\n",
    b"property double z\n",
    b"end_header\n",
    b"\x1f\x8b\x08\x00",
    b"\xEF\xBB\xBF",
    b"\r",
    b"\n",
    b"\0",
    b"#",
];

/// Words of the case file.
pub(crate) const CASE_WORDS: &[&[u8]] = &[
    b"{",
    b"}",
    b"[",
    b"]",
    b",",
    b":",
    b"\"",
    b"null",
    b"true",
    b"\\u0000",
    b"\"x_\": 1,",
    b"\"walls\"",
    b"\"prep\"",
    b"\"opposes\"",
    b"\"z_range\": [0, 0],",
    b"\"id\": \"a/b\",",
    b"\"keep_stump\": true,",
    b"\"version\": [1, 7],",
    b"\"guides\": false,",
    b"\"undercut_limit_mm\": null,",
    b"\xEF\xBB\xBF",
    b"\"canal_axis\": [0, 0, 1e-300],",
    b"[[[[[[[[[[[[[[[[",
    b"\"half_sector_deg\": 90,",
];

/// Numbers that are hard to bear.
const NUMBERS: &[&[u8]] = &[
    b"0",
    b"-0.0",
    b"1",
    b"-1",
    b"2",
    b"3",
    b"255",
    b"256",
    b"65535",
    b"4294967295",
    b"4294967296",
    b"18446744073709551616",
    b"1e9",
    b"1.0000001e9",
    b"1e308",
    b"1e309",
    b"1e-320",
    b"-1e300",
    b"0.1",
    b"0.30000000000000004",
    b"nan",
    b"inf",
    b"-inf",
    b"1e",
    b"40",
    b"45",
    b"89.999999",
    b"90",
    b"1e-7",
];

/// Factors by which a number is moved that stays near what it was.
const FACTORS: [f64; 12] = [
    -1.0,
    0.0,
    0.5,
    0.9,
    0.99,
    1.01,
    1.1,
    1.5,
    2.0,
    3.0,
    10.0,
    1.000_000_1,
];

/// Longest input. Larger ones say little more, and take longer.
const LONGEST: usize = 1 << 14;

/// A seed of a number. Neighbouring numbers get seeds that have nothing in common.
pub(crate) fn mixed(seed: u64, number: u64) -> u64 {
    (seed ^ number.rotate_left(32)).wrapping_mul(0x9E37_79B9_7F4A_7C15)
}

/// Spoils bytes by one to eight mutations. `donor` lends pieces.
pub(crate) fn spoil(
    mut bytes: Vec<u8>,
    donor: &[u8],
    words: &[&[u8]],
    session: &mut Session,
) -> Vec<u8> {
    let times = 1 + die(session, 8);
    for _ in 0..times {
        let mut spoiler = Spoiler { donor, words };
        if session.mutate_with(&mut spoiler, &mut bytes).is_err() {
            break;
        }
    }
    bytes.truncate(LONGEST);
    bytes
}

/// Moves one to four numbers of a text, most by little.
pub(crate) fn nudge(mut bytes: Vec<u8>, session: &mut Session) -> Vec<u8> {
    let times = 1 + die(session, 4);
    for _ in 0..times {
        if session.mutate_with(&mut Nudger, &mut bytes).is_err() {
            break;
        }
    }
    bytes
}

fn die(session: &mut Session, sides: u8) -> u8 {
    session.generate::<u8>().unwrap_or(0) % sides
}

/// Spoils bytes in one way.
#[derive(Debug)]
struct Spoiler<'a> {
    donor: &'a [u8],
    words: &'a [&'a [u8]],
}

/// Kinds of [`Spoiler`]'s mutations.
const KINDS: u32 = 10;

impl Mutate<Vec<u8>> for Spoiler<'_> {
    fn mutate(&mut self, mutations: &mut Candidates<'_>, bytes: &mut Vec<u8>) -> Result<()> {
        mutations.mutation_group(KINDS, |context, kind| {
            self.spoil(kind, context, bytes);
            Ok(())
        })
    }
}

impl Spoiler<'_> {
    fn spoil(&self, kind: u32, context: &mut Context, bytes: &mut Vec<u8>) {
        match kind {
            0 => {
                let bit = index(context, 8);
                if let Some(byte) = pick(context, bytes) {
                    *byte ^= 1 << bit;
                }
            }
            1 => {
                let any = context.rng().gen_u8();
                if let Some(byte) = pick(context, bytes) {
                    *byte = any;
                }
            }
            2 => bytes.truncate(index(context, bytes.len() + 1)),
            3 => {
                let [from, to] = range(context, bytes.len());
                bytes.drain(from..to);
            }
            4 => {
                let [from, to] = range(context, bytes.len());
                let piece = bytes[from..to].to_vec();
                insert(context, bytes, &piece);
            }
            5 => {
                let [from, to] = range(context, self.donor.len());
                insert(context, bytes, &self.donor[from..to]);
            }
            6 => {
                let word = choose(context, self.words);
                insert(context, bytes, word);
            }
            7 => put_number(context, bytes, |context, _| {
                choose(context, NUMBERS).to_vec()
            }),
            8 => put_number(context, bytes, moved),
            _ => overwrite(context, bytes),
        }
    }
}

/// Moves a number of a text.
#[derive(Debug)]
struct Nudger;

impl Mutate<Vec<u8>> for Nudger {
    fn mutate(&mut self, mutations: &mut Candidates<'_>, bytes: &mut Vec<u8>) -> Result<()> {
        mutations.mutation_group(5, |context, kind| {
            if kind == 0 {
                put_number(context, bytes, |context, _| {
                    choose(context, NUMBERS).to_vec()
                });
            } else {
                put_number(context, bytes, moved);
            }
            Ok(())
        })
    }
}

/// A number of a text, times a factor and a little beside it.
fn moved(context: &mut Context, old: &[u8]) -> Vec<u8> {
    let old: f64 = std::str::from_utf8(old)
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(1.0);
    let factor = FACTORS[index(context, FACTORS.len())];
    let beside = f64::from(context.rng().gen_u8()) / 256.0 - 0.5;
    let beside = if index(context, 2) == 0 { beside } else { 0.0 };
    (old * factor + beside).to_string().into_bytes()
}

/// Replaces one number of a text.
fn put_number(
    context: &mut Context,
    bytes: &mut Vec<u8>,
    new: impl Fn(&mut Context, &[u8]) -> Vec<u8>,
) {
    let is_part = |byte: &u8| byte.is_ascii_digit() || matches!(byte, b'.' | b'-' | b'+');
    let start = index(context, bytes.len() + 1);
    let Some(from) = bytes[start..].iter().position(u8::is_ascii_digit) else {
        return;
    };
    let mut from = start + from;
    while from > 0 && is_part(&bytes[from - 1]) {
        from -= 1;
    }
    let length = bytes[from..].iter().position(|byte| !is_part(byte));
    let to = length.map_or(bytes.len(), |length| from + length);
    let number = new(context, &bytes[from..to]);
    bytes.splice(from..to, number);
}

/// Writes numbers as binary formats hold them over some bytes.
fn overwrite(context: &mut Context, bytes: &mut [u8]) {
    const WORDS: [u32; 10] = [
        0,
        1,
        0x7F80_0000, // infinity
        0x7FC0_0000, // not a number
        0xFFFF_FFFF,
        0x8000_0000, // minus zero, or the least whole number
        0x7FFF_FFFF,
        0x4E6E_6B28, // 1e9
        0x0000_0100,
        0x3F80_0000, // 1
    ];
    let word = WORDS[index(context, WORDS.len())];
    let word = if index(context, 2) == 0 {
        word.to_le_bytes()
    } else {
        word.to_be_bytes()
    };
    let at = index(context, bytes.len().saturating_sub(3));
    for (byte, new) in bytes.iter_mut().skip(at).zip(word) {
        *byte = new;
    }
}

fn insert(context: &mut Context, bytes: &mut Vec<u8>, piece: &[u8]) {
    let at = index(context, bytes.len() + 1);
    bytes.splice(at..at, piece.iter().copied());
}

fn index(context: &mut Context, length: usize) -> usize {
    context.rng().gen_index(length).unwrap_or(0)
}

fn pick<'a>(context: &mut Context, bytes: &'a mut [u8]) -> Option<&'a mut u8> {
    let at = index(context, bytes.len());
    bytes.get_mut(at)
}

fn choose<'a>(context: &mut Context, from: &[&'a [u8]]) -> &'a [u8] {
    from[index(context, from.len())]
}

/// A range of bytes, most short.
fn range(context: &mut Context, length: usize) -> [usize; 2] {
    let from = index(context, length + 1);
    let most = if index(context, 4) == 0 { length } else { 24 };
    let to = from + index(context, (length - from).min(most) + 1);
    [from, to]
}
