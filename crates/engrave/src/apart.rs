//! The systems of a picture, each as a picture of its own.

use std::collections::HashMap;

use notation::Span;

use crate::frame::{Block, Picture};
use crate::units::{Area, Mm, Sp};

/// The systems of a picture, each as wide as the whole and no higher than its ink; what stands over and
/// under the music is left out.
///
/// Places in the text are left out too: tokens are told apart by numbers of their own, from 0 in each
/// system. So two systems that look alike are equal, wherever they were typed.
pub fn apart(picture: &Picture) -> Vec<Picture> {
    let systems = picture.blocks.iter().filter(|block| block.system().is_some());
    systems.map(|block| alone(picture, block)).collect()
}

fn alone(picture: &Picture, block: &Block) -> Picture {
    let mut block = block.clone();
    let area = block.frame.area.unwrap_or(Area::new(Sp::ZERO, Sp::ZERO, Sp::ZERO, Sp::ZERO));
    let mm = |length: Sp| Mm(length.0 * picture.space.0);
    block.y = mm(-area.top);
    let mut tokens: HashMap<Span, usize> = HashMap::new();
    for origin in block.frame.items.iter_mut().filter_map(|item| item.of.as_mut()) {
        let next = tokens.len();
        let token = *tokens.entry(origin.span).or_insert(next);
        origin.span = Span::new(token, token);
    }
    Picture {
        title: None,
        composer: None,
        source: None,
        voices: picture.voices.clone(),
        width: picture.width,
        height: mm(area.height()),
        margin: Mm::ZERO,
        space: picture.space,
        page_begins: Vec::new(),
        blocks: vec![block],
    }
}
