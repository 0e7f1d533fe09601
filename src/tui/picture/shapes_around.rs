//! What is around a large head: ceilings, walls, lines, guards, hangers; see `shapes.rs` for how they are written.

use super::shapes::{Shape, shapes};

shapes! {
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
