"""The README's program."""

import upstand

found = upstand.cut_list(runs=[5950, 4200, 4200, 1800, 900], bar=3000, lap=50, least_piece=300)
print(f"{found.bar_count} bars, {found.joint_count} joints; no list has fewer than {found.bound}")
