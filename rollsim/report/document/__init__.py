"""One offline file for a customer or an investigator: `rollsim report`.

| step | module |
| --- | --- |
| evaluate the histories | `gather` |
| figures with data and words | `embedded`, which takes them from modules that draw; `drawn` |
| figures of the report alone | `sketch`, `timeline`, `hot_spots`, `closure_loads` |
| frames of the motion player | `shapes` (sizes of the bearing), `frames`, `packing`, `impacts` |
| words and tables | `words`, `inputs`, `fitness`, `sections` |
| the page | `page`, with the files in `templates` |
| fewer searches for unused objects meanwhile | `collector` |

The page loads nothing from anywhere. Its scripts (`player.js`, `page.js`) are written by hand.
"""
