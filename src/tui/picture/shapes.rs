//! The shapes a head is drawn from, each once in Unicode, once in ASCII and once as a key that names the part every
//! cell belongs to. Our own drawings of how heads look; they hold no colours and no signs.
//!
//! Keys: `b` boss and inlet, `f` frame, `s` seal, `e` element, `d` deflector, `c` escutcheon or housing, `p` cover
//! plate, `a` ceiling, wall or pipe, `g` guard, `x` a thing that does not belong there, space: see-through.

/// One shape: three blocks of the same size.
pub struct Shape {
    /// Its name, for tests.
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
            Shape { name: stringify!($name), unicode: $unicode, ascii: $ascii, key: $key };)+
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

    /// Ceiling, inlet and a flat escutcheon: 25 × 2.
    CEILING = r"
░░░░░░░░░░▐███▌░░░░░░░░░░
▔▔▔▔▔▝▀▀▀▀▐███▌▀▀▀▀▘▔▔▔▔▔"
    r"
''''''''''|###|''''''''''
-----\====|###|====/-----"
    r"
aaaaaaaaaabbbbbaaaaaaaaaa
aaaaacccccbbbbbcccccaaaaa";

    /// A dry head's barrel through the ceiling: 25 × 3.
    CEILING_DRY = r"
          ▐▒▒▒▌
░░░░░░░░░░▐▒▒▒▌░░░░░░░░░░
▔▔▔▔▔▝▀▀▀▀▐▒▒▒▌▀▀▀▀▘▔▔▔▔▔"
    r"
          |%%%|
''''''''''|%%%|''''''''''
-----\====|%%%|====/-----"
    r"
          bbbbb
aaaaaaaaaabbbbbaaaaaaaaaa
aaaaacccccbbbbbcccccaaaaa";

    /// A recessed housing with its rim: 25 × 3.
    RECESS = r"
░░░▗▄▄▄▄▄▄▐███▌▄▄▄▄▄▄▖░░░
░░░▐▌               ▐▌░░░
▔▔▀▀▀▘             ▝▀▀▀▔▔"
    r"
'''.------|###|------.'''
'''|                 |'''
--====             ====--"
    r"
aaacccccccbbbbbcccccccaaa
aaacc               ccaaa
aacccc             ccccaa";

    /// A ceiling around a flush head's body, with its ring: 25 × 4.
    FLUSH = r"
░░░░░░░░░░▐███▌░░░░░░░░░░
░░░░░▏             ▕░░░░░
░░░░░▏             ▕░░░░░
▔▔▔▀▀▘             ▝▀▀▔▔▔"
    r"
''''''''''|###|''''''''''
'''''|             |'''''
'''''|             |'''''
---===             ===---"
    r"
aaaaaaaaaabbbbbaaaaaaaaaa
aaaaaa             aaaaaa
aaaaaa             aaaaaa
aaaccc             cccaaa";

    /// A concealed head's housing and cover plate, cut open: 25 × 13.
    CONCEAL = r"
░░▗▄▄▄▄▄▄▄▐███▌▄▄▄▄▄▄▄▖░░
░░▐                   ▌░░
░░▐                   ▌░░
░░▐                   ▌░░
░░▐                   ▌░░
░░▐                   ▌░░
░░▐                   ▌░░
░░▐                   ▌░░
░░▐                   ▌░░
░░▐                   ▌░░
░░▐                   ▌░░
▔▔▝                   ▘▔▔
▝▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▘"
    r"
''.-------|###|-------.''
''|                   |''
''|                   |''
''|                   |''
''|                   |''
''|                   |''
''|                   |''
''|                   |''
''|                   |''
''|                   |''
''|                   |''
--'                   '--
\=======================/"
    r"
aaccccccccbbbbbccccccccaa
aac                   caa
aac                   caa
aac                   caa
aac                   caa
aac                   caa
aac                   caa
aac                   caa
aac                   caa
aac                   caa
aac                   caa
aac                   caa
ppppppppppppppppppppppppp";

    /// The deck above an upright head: 25 × 1.
    DECK = r"
░░░░░░░░░░░░░░░░░░░░░░░░░"
    r"
'''''''''''''''''''''''''"
    r"
aaaaaaaaaaaaaaaaaaaaaaaaa";

    /// The branch line a head stands on: 25 × 1.
    PIPE_BELOW = r"
════════╧═══════╧════════"
    r"
========[=======]========"
    r"
aaaaaaaaaaaaaaaaaaaaaaaaa";

    /// The branch line a head hangs from: 25 × 1.
    PIPE_ABOVE = r"
════════╤═══════╤════════"
    r"
========[=======]========"
    r"
aaaaaaaaaaaaaaaaaaaaaaaaa";

    /// A dry head's barrel on the line: 9 × 1.
    BARREL = r"
▐▒▒▒▒▒▒▒▌"
    r"
|%%%%%%%|"
    r"
bbbbbbbbb";

    /// A wall with a flat escutcheon: 3 × 13.
    WALL = r"
░▏
░▏
░▏
░▏▖
░▏█
░▏█
░▏█
░▏█
░▏█
░▏▘
░▏
░▏
░▏"
    r"
'|
'|
'|
'|.
'|H
'|H
'|H
'|H
'|H
'|'
'|
'|
'|"
    r"
aa
aa
aa
aac
aac
aac
aac
aac
aac
aac
aa
aa
aa";

    /// A recessed housing in a wall: 7 × 13.
    WALL_RECESS = r"
░░░░░▏
░░░░░▙
▄▄▄▄▄█
▌
▌
▌
▌
▌
▌
▌
▀▀▀▀▀█
░░░░░▛
░░░░░▏"
    r"
'''''|
'''''H
.----H
|
|
|
|
|
|
|
'----H
'''''H
'''''|"
    r"
aaaaaa
aaaaac
cccccc
c
c
c
c
c
c
c
cccccc
aaaaac
aaaaaa";

    /// A wall around a flush head's body, with its ring: 8 × 13.
    WALL_FLUSH = r"
░░░░░░░▏
░░░░░░░▏
░░░░░░░█
░
░
░
░
░
░
░
░░░░░░░█
░░░░░░░▏
░░░░░░░▏"
    r"
'''''''|
'''''''|
'''''''H
'
'
'
'
'
'
'
'''''''H
'''''''|
'''''''|"
    r"
aaaaaaaa
aaaaaaaa
aaaaaaac
a
a
a
a
a
a
a
aaaaaaac
aaaaaaaa
aaaaaaaa";

    /// A concealed sidewall head's housing and cover plate, cut open: 25 × 13.
    WALL_CONCEAL = r"
▛▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▏▐▌
▌                      ▐▌
▌                      ▐▌
▌                      ▐▌
▌                      ▐▌
▌                      ▐▌
▌                      ▐▌
▌                      ▐▌
▌                      ▐▌
▌                      ▐▌
▌                      ▐▌
▌                      ▐▌
▙▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▏▐▌"
    r"
.---------------------|[]
|                      []
|                      []
|                      []
|                      []
|                      []
|                      []
|                      []
|                      []
|                      []
|                      []
|                      []
'---------------------|[]"
    r"
ccccccccccccccccccccccapp
c                      pp
c                      pp
c                      pp
c                      pp
c                      pp
c                      pp
c                      pp
c                      pp
c                      pp
c                      pp
c                      pp
ccccccccccccccccccccccapp";

    /// A wire guard around a hanging head: 24 × 11.
    GUARD = r"
  ╭╌╌╌╌╌         ╌╌╌╌╌╮
 ╭╯                   ╰╮
 ┊                     ┊
 ┊                     ┊
 ┊                     ┊
 ┊                     ┊
 ┊                     ┊
 ┊                     ┊
 ┊                     ┊
 ┊                     ┊
 ╰╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╯"
    r"
  .- - -         - - -.
 /                     \
 :                     :
 :                     :
 :                     :
 :                     :
 :                     :
 :                     :
 :                     :
 :                     :
 '- - - - - - - - - - -'"
    r"
  gggggg         gggggg
 gg                   gg
 g                     g
 g                     g
 g                     g
 g                     g
 g                     g
 g                     g
 g                     g
 g                     g
 ggggggggggggggggggggggg";

    /// A wire guard around a sidewall head: 21 × 13.
    GUARD_LYING = r"
╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╮
                    ┊
                    ┊
                    ┊
                    ┊
                    ┊
                    ┊
                    ┊
                    ┊
                    ┊
                    ┊
                    ┊
╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╌╯"
    r"
- - - - - - - - - - .
                    :
                    :
                    :
                    :
                    :
                    :
                    :
                    :
                    :
                    :
                    :
- - - - - - - - - - '"
    r"
ggggggggggggggggggggg
                    g
                    g
                    g
                    g
                    g
                    g
                    g
                    g
                    g
                    g
                    g
ggggggggggggggggggggg";

    /// A coat hanger on a frame arm that stands at its right: 5 × 4.
    HANGER = r"
  ╭──
  │
╱   ╲
▔▔▔▔▔"
    r"
  .--
  |
/   \
-----"
    r"
  xxx
  x
x   x
xxxxx";

    /// A coat hanger below the arm it hangs on: 5 × 3.
    HANGER_BELOW = r"
  │
╱   ╲
▔▔▔▔▔"
    r"
  |
/   \
-----"
    r"
  x
x   x
xxxxx";
}
