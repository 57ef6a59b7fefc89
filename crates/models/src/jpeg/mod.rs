//! How large a JPEG frame gets: by scene, quantiser number and picture size, without encoding one.
//!
//! A table of bits per pixel, measured on freely licensed sample pictures ([`scene`]), read at the scale of the
//! quantiser tables ([`quantiser`]) and carried to other picture sizes ([`size`]). One snapshot from the real board
//! replaces all of it: its tables give the scale, its bytes the scene.
//!
//! Left out: how sharp the lens is (a soft lens makes smaller files), progressive coding, tuned Huffman tables (camera
//! chips use the standard ones).

pub mod quantiser;
pub mod scene;
pub mod size;
