//! The shapes a head is drawn from, each once in Unicode, once in ASCII and once as a key that names the part every
//! cell belongs to. Our own drawings of how heads look; they hold no colours and no signs.
//!
//! Keys: `b` boss and inlet, `f` frame, `s` seal, `e` element, `d` deflector, `c` escutcheon or housing, `p` cover
//! plate, `a` ceiling, wall or pipe, `g` guard, `x` a thing that does not belong there, space: see-through.

/// One shape: three blocks of the same size.
pub struct Shape {
    /// Its name, for tests.
    #[cfg(test)]
    pub name: &'static str,
    /// Unicode signs.
    pub unicode: &'static str,
    /// ASCII signs.
    pub ascii: &'static str,
    /// The part of each cell.
    pub key: &'static str,
}

macro_rules! shapes {
    ($($(#[$meta:meta])* $name:ident = $unicode:literal $ascii:literal $key:literal;)+) => {
        $($(#[$meta])* pub static $name: Shape =
            Shape { #[cfg(test)] name: stringify!($name), unicode: $unicode, ascii: $ascii, key: $key };)+
        /// Every shape.
        #[cfg(test)]
        pub static ALL: &[&Shape] = &[$(&$name,)+];
    };
}
pub(super) use shapes;

shapes! {
    /// A pendent head from boss to deflector, without its element: 17 × 10, centre column 8.
    PENDENT = r"
    ▐███████▌
  ▗▄▄▜█████▛▄▄▖
  ▐   ▝▀█▀▘   ▌
  ▐           ▌
  ▐           ▌
  ▐           ▌
  ▝▖         ▗▘
   ▝▖       ▗▘
    ▝▀▀▟█▙▀▀▘
▀▀▘▀▀▘▀▀▀▀▀▝▀▀▝▀▀"
    r"
    [#######]
  .--\#####/--.
  |   ==#==   |
  |           |
  |           |
  |           |
  \           /
   \         /
    '--[#]--'
== == ===== == =="
    r"
    bbbbbbbbb
  fffbbbbbbbfff
  f   sssss   f
  f           f
  f           f
  f           f
  ff         ff
   ff       ff
    fffffffff
ddddddddddddddddd";

    /// An upright head from deflector to boss, without its element: 19 × 11, centre column 9.
    UPRIGHT = r"
  ▗▄▄▄▄▄▄▄▄▄▄▄▄▄▖
▟▌▐▌▐▌▐▌▝█▘▐▌▐▌▐▌▐▙
     ▗▄▄▜█▛▄▄▖
    ▗▘       ▝▖
   ▗▘         ▝▖
   ▐           ▌
   ▐           ▌
   ▐           ▌
   ▐   ▗▄█▄▖   ▌
   ▝▀▀▟█████▙▀▀▘
     ▐███████▌"
    r"
  .-------------.
/|:|:|:| # |:|:|:|\
     .--[#]--.
    /         \
   /           \
   |           |
   |           |
   |           |
   |   ==#==   |
   '--/#####\--'
     [#######]"
    r"
  ddddddddddddddd
ddddddddddddddddddd
     fffffffff
    ff       ff
   ff         ff
   f           f
   f           f
   f           f
   f   sssss   f
   fffbbbbbbbfff
     bbbbbbbbb";

    /// A sidewall head from boss (left) to deflector (right), without its element: 19 × 11, centre row 5.
    SIDEWALL = r"
         ▗▄▄▄▄▄▄▄▄▄
                 ▐█
  ▗▄▄▄▄▄▄▄▄▄▄▖   ▐█
▗▄▟          ▝▄  ▐█
██▌▗▖         ▝▖ ▐█
██▌▐█          ██▟█
██▌▝▘         ▗▘ ▐█
▝▀▜          ▗▀  ▐█
  ▝▀▀▀▀▀▀▀▀▀▀▘   ▐█
                 ▐█
                 ▝▀"
    r"
         .---------
                 [#
  .----------.   [#
.-/           \  [#
##|[.          \ [#
##|[#          [###
##|['          / [#
'-\           /  [#
  '----------'   [#
                 [#
                 '-"
    r"
         dddddddddd
                 dd
  ffffffffffff   dd
bbb          ff  dd
bbbss         ff dd
bbbss          ffdd
bbbss         ff dd
bbb          ff  dd
  ffffffffffff   dd
                 dd
                 dd";

    /// A glass bulb standing: 3 × 5.
    BULB = r"
▗▄▖
▐█▌
▐█▌
▐█▌
▝▀▘"
    r"
.-.
|#|
|#|
|#|
'-'"
    r"
eee
eee
eee
eee
eee";

    /// The same bulb without its liquid.
    BULB_EMPTY = r"
╭─╮
│ │
│ │
│ │
╰─╯"
    r"
.-.
| |
| |
| |
'-'"
    r"
eee
eee
eee
eee
eee";

    /// A glass bulb lying: 9 × 1.
    BULB_LYING = r"
▐███████▌"
    r"
(#######)"
    r"
eeeeeeeee";

    /// The same bulb without its liquid.
    BULB_LYING_EMPTY = r"
╞═══════╡"
    r"
(       )"
    r"
eeeeeeeee";

    /// A solder link between its struts, standing: 7 × 5.
    LINK = r"
   ┃
┏━━┻━━┓
┃▒▒▒▒▒┃
┗━━┳━━┛
   ┃"
    r"
   |
.-----.
|:::::|
'-----'
   |"
    r"
   e
eeeeeee
eeeeeee
eeeeeee
   e";

    /// A solder link lying: 9 × 3.
    LINK_LYING = r"
  ┏━━━┓
━━┫▒▒▒┣━━
  ┗━━━┛"
    r"
  .---.
==|:::|==
  '---'"
    r"
  eeeee
eeeeeeeee
  eeeee";
}
