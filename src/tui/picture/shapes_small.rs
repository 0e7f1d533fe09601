//! The small shapes; see `shapes.rs` for how they are written.

use super::shapes::{Shape, shapes};

shapes! {
    /// A pendent head, without its element: 12 × 6, centre column 6.
    PENDENT = r"
    ▐███▌
  ▗▄▄▝█▘▄▄▖
  ▐       ▌
  ▝▖     ▗▘
   ▝▀▟█▙▀▘
 ▀▘▀▀▀▀▀▀▀▝▀"
    r"
    [###]
  .--=#=--.
  |       |
  \       /
   '-[#]-'
 == ===== =="
    r"
    bbbbb
  fffsssfff
  f       f
  ff     ff
   fffffff
 ddddddddddd";

    /// An upright head on its line, without its element: 13 × 6, centre column 6.
    UPRIGHT = r"
 ▗▄▄▄▄▄▄▄▄▄▖
▟▐▐▐▗▜█▛▖▌▌▌▙
  ▗▘     ▝▖
  ▐       ▌
  ▝▀▀▗█▖▀▀▘
════▐███▌════"
    r"
 .---------.
/|||.[#].|||\
  /       \
  |       |
  '--=#=--'
====[###]===="
    r"
 ddddddddddd
ddddfffffdddd
  ff     ff
  f       f
  fffsssfff
aaaabbbbbaaaa";

    /// A sidewall head, without its element: 11 × 7, centre row 3.
    SIDEWALL = r"
     ▗▄▄▄▄▄
 ▗▄▄▄▄▄▖ ▐▌
█▘     ▝▖▐▌
█▐      █▟▌
█▖     ▗▘▐▌
 ▝▀▀▀▀▀▘ ▐▌
         ▝▘"
    r"
     ------
 .-----. []
#/     '.[]
#[      ##]
#\     .'[]
 '-----' []
         ''"
    r"
     dddddd
 fffffff dd
bf     ffdd
bs      fdd
bf     ffdd
 fffffff dd
         dd";

    /// A glass bulb standing: 3 × 2.
    BULB = r"
▗█▖
▝█▘"
    r"
(#)
(#)"
    r"
eee
eee";

    /// The same bulb without its liquid.
    BULB_EMPTY = r"
╭─╮
╰─╯"
    r"
( )
( )"
    r"
eee
eee";

    /// A glass bulb lying: 5 × 1.
    BULB_LYING = r"
▐███▌"
    r"
(###)"
    r"
eeeee";

    /// The same bulb without its liquid.
    BULB_LYING_EMPTY = r"
╞═══╡"
    r"
(   )"
    r"
eeeee";

    /// A solder link standing: 5 × 2.
    LINK = r"
┏━┻━┓
┗━┳━┛"
    r"
.-|-.
'-|-'"
    r"
eeeee
eeeee";

    /// A solder link lying: 5 × 1.
    LINK_LYING = r"
━┫▒┣━"
    r"
=|:|="
    r"
eeeee";

    /// Ceiling and a flat escutcheon: 13 × 1.
    CEILING = r"
▔▔▝▀▐███▌▀▘▔▔"
    r"
--\=[###]=/--"
    r"
aaccbbbbbccaa";

    /// A recessed housing with its rim: 13 × 2.
    RECESS = r"
░░▗▄▐███▌▄▖░░
▔▔▀▘     ▝▀▔▔"
    r"
''.-[###]-.''
--==     ==--"
    r"
aaccbbbbbccaa
aacc     ccaa";

    /// A ceiling around a flush head's body, with its ring: 13 × 3.
    FLUSH = r"
░░░░▐███▌░░░░
░▏         ▕░
▔▀         ▀▔"
    r"
''''[###]''''
'|         |'
-=         =-"
    r"
aaaabbbbbaaaa
aa         aa
ac         ca";

    /// A concealed head's housing and cover plate, cut open: 13 × 7.
    CONCEAL = r"
▛▀▀▀     ▀▀▀▜
▌           ▐
▌           ▐
▌           ▐
▌           ▐
▌           ▐
▀▀▀▀▀▀▀▀▀▀▀▀▀"
    r"
.---     ---.
|           |
|           |
|           |
|           |
|           |
\===========/"
    r"
cccc     cccc
c           c
c           c
c           c
c           c
c           c
ppppppppppppp";

    /// The deck above an upright head: 13 × 1.
    DECK = r"
░░░░░░░░░░░░░"
    r"
'''''''''''''"
    r"
aaaaaaaaaaaaa";

    /// The branch line a head stands on: 13 × 1.
    PIPE_BELOW = r"
════╧═══╧════"
    r"
====[===]===="
    r"
aaaaaaaaaaaaa";

    /// A wall with a flat escutcheon: 2 × 7.
    WALL = r"
▏
▏▖
▏▌
▏▌
▏▌
▏▘
▏"
    r"
|
|.
|H
|H
|H
|'
|"
    r"
a
ac
ac
ac
ac
ac
a";

    /// A recessed housing in a wall: 4 × 7.
    WALL_RECESS = r"
▄▄▄█
▌
▌
▌
▌
▌
▀▀▀█"
    r"
.--H
|
|
|
|
|
'--H"
    r"
cccc
c
c
c
c
c
cccc";

    /// A wall around a flush head's body, with its ring: 5 × 7.
    WALL_FLUSH = r"
░░░░█
░
░
░
░
░
░░░░█"
    r"
''''H
'
'
'
'
'
''''H"
    r"
aaaac
a
a
a
a
a
aaaac";

    /// A concealed sidewall head's housing and cover plate, cut open: 14 × 7.
    WALL_CONCEAL = r"
▛▀▀▀▀▀       ▐
▌            ▐
▌            ▐
▌            ▐
▌            ▐
▌            ▐
▙▄▄▄▄▄▄▄▄▄▄  ▐"
    r"
.-----       H
|            H
|            H
|            H
|            H
|            H
'----------  H"
    r"
cccccc       p
c            p
c            p
c            p
c            p
c            p
ccccccccccc  p";

    /// A wire guard around a hanging head: 13 × 6.
    GUARD = r"
┊           ┊
┊           ┊
┊           ┊
┊           ┊
┊           ┊
╰           ╯"
    r"
:           :
:           :
:           :
:           :
:           :
'           '"
    r"
g           g
g           g
g           g
g           g
g           g
g           g";

    /// A wire guard over an upright head: 13 × 6.
    GUARD_ABOVE = r"
╭╌╌╌╌╌╌╌╌╌╌╌╮
┊           ┊
┊           ┊
┊           ┊
┊           ┊
┊           ┊"
    r"
.- - - - - -.
:           :
:           :
:           :
:           :
:           :"
    r"
ggggggggggggg
g           g
g           g
g           g
g           g
g           g";

    /// A wire guard around a sidewall head: 12 × 7.
    GUARD_LYING = r"
           ╮
           ┊
           ┊
           ┊
           ┊
           ┊
╌╌╌╌╌╌╌╌╌╌╌╯"
    r"
           .
           :
           :
           :
           :
           :
- - - - - -'"
    r"
           g
           g
           g
           g
           g
           g
gggggggggggg";

    /// A coat hanger on a frame arm at its right: 2 × 3.
    HANGER = r"
╭╴
╱╲
▔▔"
    r"
.-
/\
--"
    r"
xx
xx
xx";

    /// A coat hanger below the arm it hangs on: 3 × 1.
    HANGER_BELOW = r"
╱▔╲"
    r"
/-\"
    r"
xxx";
}
