/* Every result a plan has: R(NAME, key, unit, origin, source, label, formula, inputs).
   In a key `*` stands for the name of a flash or of a device with cells. `formula` is in SI; one that
   begins with "by steps:" tells a procedure in words, every other can be computed as written.
   `inputs` lists the symbols: `s key` or `s section.field` for what has a name elsewhere,
   `s:unit words` for what has not. No include guard: it is included where R is defined. */

/* the picture */
R(DISTANCE, "picture.distance", LENGTH, PUBLISHED, "euclid", "camera to the middle of the animal",
  "s = sqrt(x^2 + y^2 + z^2)", "x:m sideways|y:m along the ground|z:m in height")
R(MAGNIFICATION, "picture.magnification", RATIO, PUBLISHED, "ray2002", "size on the image sensor over real size",
  "m = f / (s - f)", "f lens.focal length|s picture.distance")
R(FIELD_WIDTH, "picture.field width", LENGTH, PUBLISHED, "ray2002", "width of the frame at the mark",
  "W = w / m", "w:m side of the image sensor that lies across|m picture.magnification")
R(FIELD_HEIGHT, "picture.field height", LENGTH, PUBLISHED, "ray2002", "height of the frame at the mark",
  "H = h / m", "h:m side of the image sensor that stands upright|m picture.magnification")
R(FIELD_ANGLE, "picture.field angle", ANGLE, PUBLISHED, "ray2002", "angle of view across",
  "a = 2 * atan(w / (2 * f * (1 + m)))", "w:m side of the image sensor that lies across|f lens.focal length|m:1 magnification at the focus distance")
R(BODY_ACROSS, "picture.body across", LENGTH, ESTIMATE, "box-body", "width of the animal as the camera sees it",
  "p = L * cos(a) + B * abs(sin(a))", "L subject.length|B subject.width|a stage.path angle")
R(FILL_WIDTH, "picture.fill width", PERCENT, PUBLISHED, "ray2002", "share of the frame's width the animal fills",
  "F = p / W", "p picture.body across|W picture.field width")
R(FILL_HEIGHT, "picture.fill height", PERCENT, PUBLISHED, "ray2002", "share of the frame's height the animal fills",
  "F = h / H", "h subject.height|H picture.field height")
R(INSIDE_MARK, "picture.inside", PERCENT, ESTIMATE, "box-body", "share of the animal inside the frame, standing on the mark",
  "by steps: the corners of the box around the body, projected; overlap of their rectangle with the frame", "p picture.body across|h subject.height")
R(PIXEL, "picture.pixel", LENGTH, PUBLISHED, "ray2002", "size of one pixel on the image sensor",
  "u = w / n", "w camera.sensor width|n camera.pixels across")
R(BODY_PIXELS, "picture.body pixels", PIXELS, PUBLISHED, "ray2002", "width of the animal in pixels",
  "n = p * m / u", "p picture.body across|m picture.magnification|u picture.pixel")
R(FOCUS, "picture.focus", LENGTH, PUBLISHED, "ray2002", "focus distance from the lens",
  "s = d", "d lens.focus distance")
R(FOCUS_SCALE, "picture.focus scale", LENGTH, PUBLISHED, "ray2002", "the same from the image sensor, as the lens scale counts",
  "D = s + f + f * f / (s - f)", "s picture.focus|f lens.focal length")
R(HYPERFOCAL, "picture.hyperfocal", LENGTH, PUBLISHED, "conrad2006", "hyperfocal distance",
  "H = f^2 / (N * c) + f", "f lens.focal length|N camera.aperture|c limits.blur")
R(NEAR, "picture.near", LENGTH, PUBLISHED, "conrad2006", "sharp from, before the camera",
  "n = s * (H - f) / (H + s - 2 * f)", "s picture.focus|H picture.hyperfocal|f lens.focal length")
R(FAR, "picture.far", LENGTH, PUBLISHED, "conrad2006", "sharp to, before the camera",
  "F = if(s < H, s * (H - f) / (H - s), inf)", "s picture.focus|H picture.hyperfocal|f lens.focal length")
R(DEPTH, "picture.depth", LENGTH, PUBLISHED, "conrad2006", "depth that is sharp",
  "D = F - n", "F picture.far|n picture.near")
R(DEPTH_WANTED, "picture.depth wanted", LENGTH, ESTIMATE, "box-body", "depth the animal needs: its body and how far it strays",
  "D = L * abs(sin(a)) + B * cos(a) + 2 * e * cos(a)", "L subject.length|a stage.path angle|B subject.width|e stage.path scatter")
R(NEAR_WANTED, "picture.near wanted", LENGTH, ESTIMATE, "box-body", "nearest part of it, before the camera",
  "n = s - D / 2", "s picture.distance|D picture.depth wanted")
R(FAR_WANTED, "picture.far wanted", LENGTH, ESTIMATE, "box-body", "farthest part of it, before the camera",
  "F = s + D / 2", "s picture.distance|D picture.depth wanted")
R(IMAGE_SPREAD, "picture.image spread", LENGTH, PUBLISHED, "conrad2006", "the depth wanted, behind the lens",
  "V = f * n / (n - f) - f * F / (F - f)", "f lens.focal length|n picture.near wanted|F picture.far wanted")
R(APERTURE_WANTED, "picture.aperture wanted", FNUMBER, PUBLISHED, "conrad2006", "widest aperture that makes that depth sharp",
  "N = V / (2 * c)", "V picture.image spread|c limits.blur")
R(APERTURE_SHARPEST, "picture.aperture sharpest", FNUMBER, PUBLISHED, "hansma1996", "aperture that makes that depth sharpest",
  "N = sqrt(V / (2 * 2.44 * l))", "V picture.image spread|l:m wavelength of green light")
R(DEFOCUS_BLUR, "picture.defocus blur", LENGTH, PUBLISHED, "conrad2006", "blur of its part farthest out of focus",
  "b = f^2 * abs(d - s) / (N * d * (s - f))", "f lens.focal length|d:m distance of that part|s picture.focus|N camera.aperture")
R(AIRY_BLUR, "picture.diffraction blur", LENGTH, PUBLISHED, "ray2002", "blur by diffraction",
  "b = 2.44 * l * N * (1 + m)", "l:m wavelength of green light|N camera.aperture|m picture.magnification")
R(MOTION_BLUR, "picture.motion blur", LENGTH, PUBLISHED, "ray2002", "blur by the walk, in the light that makes the picture",
  "b = m * v * cos(a) * t", "m picture.magnification|v subject.speed|a stage.path angle|t:s how long that light lasts")
R(BLUR, "picture.blur", LENGTH, COMMON_PRACTICE, "blur-sum", "all blur together",
  "b = sqrt(d^2 + a^2 + v^2 + u^2)", "d picture.defocus blur|a picture.diffraction blur|v picture.motion blur|u picture.pixel")
R(BLUR_LIMIT, "picture.blur limit", LENGTH, COMMON_PRACTICE, "print-criterion", "largest blur on the image sensor that counts as sharp",
  "c = l", "l limits.blur")
R(BLUR_PIXELS, "picture.blur pixels", PIXELS, PUBLISHED, "ray2002", "all blur together, in pixels",
  "n = b / u", "b picture.blur|u picture.pixel")
R(BLUR_PRINT, "picture.blur print", LENGTH, PUBLISHED, "ray2002", "all blur together, on the print",
  "B = b * P / w", "b picture.blur|P limits.print width|w:m side of the image sensor that lies across")

/* the flashes */
R(FLASH_DISTANCE, "flash.*.distance", LENGTH, PUBLISHED, "euclid", "flash to the middle of the animal",
  "d = sqrt(x^2 + y^2 + z^2)", "x:m sideways|y:m along the ground|z:m in height")
R(FLASH_OFF_AXIS, "flash.*.off axis", ANGLE, PUBLISHED, "euclid", "the animal off the middle of its beam by",
  "by steps: angle at the flash between its aim and the middle of the animal", "d flash.*.distance")
R(FLASH_BEAM, "flash.*.beam", PERCENT, COMMON_PRACTICE, "beam-edge", "share of its middle light at that angle",
  "B = 2^(-(o / (c / 2))^2)", "o flash.*.off axis|c flash.coverage")
R(FLASH_INCIDENCE, "flash.*.incidence", PERCENT, PUBLISHED, "cosine-law", "share that reaches the side turned to the camera",
  "C = max(0, cos(g))", "g:rad angle at the animal between flash and camera")
R(FLASH_INTENSITY, "flash.*.light", PHYSICAL, PUBLISHED, "film-data-sheet", "light it sends out (cd s)",
  "I = 2.22 * G^2 * p * 2^(-s)", "G flash.guide number|p flash.power|s flash.diffuser")
R(FLASH_EXPOSURE, "flash.*.exposure", EXPOSURE, PUBLISHED, "inverse-square", "its light on the animal",
  "Q = I * B * C / d^2", "I flash.*.light|B flash.*.beam|C flash.*.incidence|d flash.*.distance")
R(FLASH_STOPS, "flash.*.stops", STOPS, PUBLISHED, "film-data-sheet", "alone, against a right exposure",
  "e = lg2(max(Q, 0.000001) / R)", "Q flash.*.exposure|R light.needed")
R(FLASH_HALF, "flash.*.half peak", TIME, PUBLISHED, "iso2827", "its pulse above half the peak (t0.5)",
  "by steps: decay from the full pulse, cut short at the power set; a voltage type's pulse lengthens instead", "t flash.pulse|p flash.power")
R(FLASH_TENTH, "flash.*.tenth peak", TIME, PUBLISHED, "iso2827", "its pulse above a tenth of the peak (t0.1), which draws the motion",
  "by steps: decay from the full pulse, cut short at the power set; a voltage type's pulse lengthens instead", "t flash.pulse|p flash.power")
R(FLASH_SYNC, "flash.*.sync", SHUTTER, COMMON_PRACTICE, "x-sync", "shortest shutter that bares the frame to it",
  "t = x + d", "x camera.x-sync|d flash.link delay")
R(FLASH_RECYCLE, "flash.*.recycle", TIME, ESTIMATE, "recycle", "to be ready again after one frame",
  "t = T * p", "T flash.recycle|p flash.power")
R(FLASH_LAST, "flash.*.last frame", PERCENT, ESTIMATE, "recycle", "its light in the last frame of a firing",
  "c = min(1, max(0, 1 - (n - 1) * max(0, p - i / T)) / p)", "n camera.frames|p flash.power|i camera.interval|T flash.recycle")
R(FLASH_EYE, "flash.*.eye light", EXPOSURE, PUBLISHED, "inverse-square", "its light at the animal's eye",
  "E = I * B / d^2", "I flash.*.light|B flash.*.beam|d flash.*.distance")
R(FLASH_MARGIN, "flash.*.eye margin", RATIO, ESTIMATE, "icnirp2013", "margin to the limit for a human retina (thermal)",
  "by steps: radiance of its lit surface, weighted for the retina, against the guideline's limit for its pulse and size", "I flash.*.light|d flash.*.distance|A:m2 lit surface|t flash.*.tenth peak|g:rad its angular size")

/* the light */
R(LIGHT_NEEDED, "light.needed", EXPOSURE, PUBLISHED, "film-data-sheet", "flash light a right exposure needs",
  "R = 222 * N^2 / S", "N camera.aperture|S camera.iso")
R(LIGHT_EXPOSURE, "light.exposure", EXPOSURE, PUBLISHED, "inverse-square", "light of all flashes on the animal",
  "by steps: the sum of each flash's own exposure", "R light.needed")
R(LIGHT_ERROR, "light.error", STOPS, PUBLISHED, "film-data-sheet", "flash exposure against a right one",
  "e = lg2(max(Q, 0.000001) / R)", "Q light.exposure|R light.needed")
R(LIGHT_APERTURE, "light.aperture", FNUMBER, PUBLISHED, "film-data-sheet", "aperture at which it would be right",
  "N = sqrt(Q * S / 222)", "Q light.exposure|S camera.iso")
R(LIGHT_RATIO, "light.key to fill", STOPS, PUBLISHED, "inverse-square", "strongest flash over all the others",
  "r = lg2(K / (Q - K))", "K:lx s exposure by the strongest flash|Q light.exposure")
R(LIGHT_BACKDROP, "light.backdrop", STOPS, ESTIMATE, "backdrop", "backdrop against mid grey, by the flashes",
  "b = lg2(max(Q * r / 0.157, 0.000001) / R)", "Q:lx s light of all flashes on the backdrop|r stage.backdrop brightness|R light.needed")
R(LIGHT_DARKEST, "light.darkest", LIGHT, PUBLISHED, "seidelmann1992", "ambient light at the darkest armed minute",
  "by steps: sun and moon through the watch, cloud and canopy; the least of all armed minutes", "o site.open sky|n watch.nights")
R(LIGHT_LIGHTEST, "light.lightest", LIGHT, PUBLISHED, "seidelmann1992", "ambient light at the lightest armed minute",
  "by steps: sun and moon through the watch, cloud and canopy; the most of all armed minutes", "o site.open sky|n watch.nights")
R(SHUTTER_DARKEST, "shutter.darkest", SHUTTER, ESTIMATE, "shutter-rule", "shutter time at the darkest armed minute",
  "by steps: the time set; on bulb the sensor's hold; metered: what the meter asks, no longer than set, no shorter than flashes and camera allow", "t camera.shutter|E light.darkest")
R(SHUTTER_LIGHTEST, "shutter.lightest", SHUTTER, ESTIMATE, "shutter-rule", "shutter time at the lightest armed minute",
  "by steps: the time set; on bulb the sensor's hold; metered: what the meter asks, no longer than set, no shorter than flashes and camera allow", "t camera.shutter|E light.lightest")
R(AMBIENT_DARKEST, "ambient.darkest", STOPS, PUBLISHED, "iso2720", "ambient exposure against a right one, darkest armed minute",
  "e = lg2(E * t * S / (250 * N^2))", "E light.darkest|t shutter.darkest|S camera.iso|N camera.aperture")
R(AMBIENT_LIGHTEST, "ambient.lightest", STOPS, PUBLISHED, "iso2720", "ambient exposure against a right one, lightest armed minute",
  "e = lg2(E * t * S / (250 * N^2))", "E light.lightest|t shutter.lightest|S camera.iso|N camera.aperture")
R(GHOST_DARKEST, "ghost.darkest", STOPS, COMMON_PRACTICE, "ghosting", "flashes over ambient light, darkest armed minute",
  "g = lg2(Q / (E * t))", "Q light.exposure|E light.darkest|t shutter.darkest")
R(GHOST_LIGHTEST, "ghost.lightest", STOPS, COMMON_PRACTICE, "ghosting", "flashes over ambient light, lightest armed minute",
  "g = lg2(Q / (E * t))", "Q light.exposure|E light.lightest|t shutter.lightest")
R(GHOST_TRAVEL, "ghost.travel", PIXELS, PUBLISHED, "ray2002", "how far the animal moves while the shutter is open, lightest armed minute",
  "n = m * v * cos(a) * t / u", "m picture.magnification|v subject.speed|a stage.path angle|t shutter.lightest|u picture.pixel")
R(GHOST_LEVEL, "ghost.level", LIGHT, COMMON_PRACTICE, "ghosting", "ambient light up to which no ghost shows, at the shutter of the lightest minute",
  "E = Q / (t * 2^g)", "Q light.exposure|t shutter.lightest|g limits.ghost")
R(GHOST_SHARE, "ghost.share", PERCENT, COMMON_PRACTICE, "ghosting", "share of the animal's armed passes in light that draws a ghost",
  "by steps: its activity over the armed minutes whose ambient light and flashes are nearer to each other than the limit, while the walk blurs", "g limits.ghost")
R(SMEAR_SHARE, "smear.share", PERCENT, COMMON_PRACTICE, "ray2002", "share of the animal's armed passes smeared by its walk",
  "by steps: its activity over the armed minutes in which the light that makes the picture lasts too long for the walk", "b limits.blur")
R(WRONG_SHARE, "exposure.share", PERCENT, COMMON_PRACTICE, "iso2720", "share of the animal's armed passes with wrong exposure",
  "by steps: flash and ambient light together over the armed minutes, outside the exposure limit", "e limits.exposure")

/* the sensor */
R(SENSOR_DISTANCE, "sensor.distance", LENGTH, PUBLISHED, "euclid", "sensor to the middle of the animal",
  "d = sqrt(x^2 + y^2 + z^2)", "x:m sideways|y:m along the ground|z:m in height")
R(SENSOR_AREA, "sensor.area", PHYSICAL, ESTIMATE, "heat-sensor", "warm area it sees at once (m2)",
  "A = min(L, P * d) * min(h, g * d)", "L picture.body at sensor|P sensor.zone pitch|d sensor.distance|h subject.height|g sensor.fan height")
R(SENSOR_BODY, "picture.body at sensor", LENGTH, ESTIMATE, "box-body", "width of the animal as the sensor sees it",
  "p = L * abs(sin(w)) + B * abs(cos(w))", "L subject.length|w:rad angle between walk and sight|B subject.width")
R(SENSOR_EXCESS, "sensor.excess", WARMTH, ESTIMATE, "coat-excess", "coat warmer than the night air by",
  "by steps: warm in cold air, nothing at body heat, by our own line between", "T climate.night")
R(SENSOR_CONTRAST, "sensor.contrast", PHYSICAL, PUBLISHED, "planck", "radiated difference, 8 to 14 um (W/m2)",
  "by steps: Planck's law over the window for coat and background", "T climate.night|x sensor.excess")
R(SENSOR_CROSSING, "sensor.crossing", PHYSICAL, PUBLISHED, "heat-sensor", "zones crossed in a second (Hz)",
  "f = v * abs(sin(w)) / (P * d)", "v subject.speed|w:rad angle between walk and sight|P sensor.zone pitch|d sensor.distance")
R(SENSOR_RANGE, "sensor.reach", LENGTH, ESTIMATE, "heat-sensor", "how far it notices this animal",
  "by steps: rated range, scaled with area, contrast and zone frequency", "R sensor.range|A sensor.area|M sensor.contrast|f sensor.crossing")
R(SENSOR_LATENCY, "sensor.latency", TIME, ESTIMATE, "heat-sensor", "from the crossing to its signal",
  "t = d", "d sensor.delay")
R(RELEASE_DELAY, "shutter.delay", TIME, ESTIMATE, "latency-sum", "from the crossing to the open shutter",
  "t = d + w * z + l", "d sensor.latency|w camera.wake|z:1 1 when the camera sleeps|l camera.shutter lag")
R(RELEASE_TRAVEL, "shutter.travel", LENGTH, PUBLISHED, "kinematics", "how far the animal walks in that time",
  "x = v * t", "v subject.speed|t shutter.delay")
R(NOTICE, "sensor.notice", LENGTH, PUBLISHED, "stage-geometry", "its nose when noticed, past the mark (negative: before it)",
  "by steps: where the path crosses the edge of a zone, or the beam, that decides", "d sensor.distance")
R(OFFSET, "shutter.offset", LENGTH, PUBLISHED, "kinematics", "its middle when the shutter opens, past the mark (negative: before it)",
  "o = n + x - L / 2", "n sensor.notice|x shutter.travel|L subject.length")
R(OFFSET_INSIDE, "shutter.inside", PERCENT, ESTIMATE, "box-body", "share of the animal in the frame when the shutter opens",
  "by steps: the box around the body at that place, projected; the worse of both ways when it comes both ways", "o shutter.offset")

/* the watch */
R(ARMED, "watch.armed", TIME, PUBLISHED, "seidelmann1992", "armed in a night and day, on average",
  "by steps: minutes of all nights in which light gate and clock arm the rig, over the nights", "n watch.nights|g sensor.gate level")
R(ARMED_SHARE, "watch.share", PERCENT, ESTIMATE, "activity", "share of the animal's passes in armed hours",
  "by steps: its activity, tied to sunrise and sunset of each date, over the armed minutes", "t watch.armed")
R(PASSES, "watch.passes", NUMBER, ESTIMATE, "activity", "passes in armed hours over the watch",
  "n = r * s * N", "r subject.passes|s watch.share|N watch.nights")
R(FIRINGS, "watch.firings", RATE, ESTIMATE, "activity", "firings in 24 hours, all causes",
  "F = (r * s + p + w * h / 86400)", "r subject.passes|s watch.share|p:1/night passes of others in armed hours|w sensor.false triggers|h watch.armed")
R(FRAMES, "watch.frames", RATE, PUBLISHED, "bookkeeping", "frames in 24 hours",
  "n = F * k", "F watch.firings|k camera.frames")

/* what runs out */
R(CARD_FRAMES, "card.frames", COUNT, PUBLISHED, "bookkeeping", "frames the card holds",
  "n = floor(C / b)", "C camera.card|b camera.frame size")
R(CARD_NIGHTS, "card.nights", NIGHTS, PUBLISHED, "bookkeeping", "nights the card lasts",
  "N = c / max(n, 0.000001)", "c card.frames|n watch.frames")
R(CELLS_STORE, "cells.*.store", ENERGY, ESTIMATE, "cells", "usable in the cells at night, a fifth kept back",
  "by steps: capacity at this drain and temperature, times voltage, cells and sets", "T climate.night|i:A usual drain|C:Ah capacity of one cell|n:1 cells")
R(CELLS_DRAW, "cells.*.draw", ENERGY, ESTIMATE, "bookkeeping", "taken in 24 hours",
  "e = V * i * 86400 + n * k", "V:V usual voltage of the set|i:A drawn all the time|n watch.frames|k:J taken for one frame")
R(CELLS_NIGHTS, "cells.*.nights", NIGHTS, ESTIMATE, "cells", "nights the cells last",
  "by steps: store, shrinking by self-discharge, against what is taken each night", "E cells.*.store|e cells.*.draw")
R(OUTLAST, "watch.lasts", NIGHTS, ESTIMATE, "bookkeeping", "nights until the first of cells and card runs out",
  "by steps: the least of all sets of cells and the card", "c card.nights")

/* care */
R(EYE_MARGIN, "eye.margin", RATIO, ESTIMATE, "icnirp2013", "smallest margin of all flashes, human eye",
  "by steps: the least of the flashes' own margins", "l:1 below this the plan warns")
R(EYE_ANIMAL, "eye.animal margin", RATIO, ESTIMATE, "animal-eye", "the same for an animal's wide pupil, a caution only",
  "a = M / 10", "M eye.margin")
R(EYE_BLEACH, "eye.bleached", PERCENT, PUBLISHED, "lamb2004", "visual pigment used up where the flash's image falls",
  "by steps: radiance of the brightest lit surface times the pupil's area, against the bleaching constant", "p subject.pupil")
R(EYE_REST, "eye.rest", TIME, COMMON_PRACTICE, "rest", "rest its eyes need between firings at night",
  "t = d", "d:s common practice")
R(EYE_GAP, "eye.pause", TIME, PUBLISHED, "bookkeeping", "shortest pause between two firings as set",
  "t = d", "d sensor.pause")
R(EYE_FLASHES, "eye.flashes", COUNT, PUBLISHED, "bookkeeping", "flashes an animal meets in one pass",
  "n = k", "k camera.frames")
R(BAIT_NEED, "bait.daily energy", ENERGY, PUBLISHED, "nagy1999", "energy the animal spends in a day",
  "by steps: field metabolic rate of its group at its mass", "M subject.mass")
R(BAIT_SHARE, "bait.share", PERCENT, ESTIMATE, "bait-energy", "share of that the bait gives",
  "b = q * a / E", "q:J/kg energy of the food|a bait.amount|E bait.daily energy")
R(BAIT_LIMIT, "bait.limit", MASS, COMMON_PRACTICE, "bait-limit", "most that stays a tenth of its day's energy",
  "a = 0.1 * E / q", "E bait.daily energy|q:J/kg energy of the food")
R(DEW_POINT, "housing.dew point", TEMPERATURE, PUBLISHED, "alduchov1996", "dew point of the night air",
  "by steps: temperature at which this air is saturated", "T climate.night|h climate.humidity")
R(PORT_COOLING, "housing.sky cooling", WARMTH, ESTIMATE, "berdahl1982", "window against the air on a clear night",
  "by steps: heat lost to the sky against heat from still air", "T climate.night|d housing.dew point|o site.open sky")
R(PORT_TEMPERATURE, "housing.window", TEMPERATURE, ESTIMATE, "berdahl1982", "window on a clear night",
  "t = T + c", "T climate.night|c housing.sky cooling")
R(DEW_MARGIN, "housing.dew margin", WARMTH, ESTIMATE, "berdahl1982", "window above the dew point (negative: dew or frost)",
  "m = t - d", "t housing.window|d housing.dew point")
R(DESICCANT, "housing.desiccant", MASS, ESTIMATE, "din55474", "dry silica gel the watch needs",
  "by steps: moisture that breathing and leaks bring in over the watch, a fifth of the gel's own mass taken up", "V housing.volume|n watch.nights|l housing.leak time")
R(PORT_NEEDED, "housing.port needed", LENGTH, PUBLISHED, "port-cone", "clear width the window needs",
  "D = f / N + 2 * L * tan(a / 2)", "f lens.focal length|N camera.aperture|L housing.port gap|a:rad angle of view corner to corner")
