#include "treatment/case_reader.hpp"

namespace tq::treatment {

std::string case_template() {
  return R"case(# A case: one blade and everything that is done to it. Only [blade] with its steel, length and one
# station is needed. Every line shows its default unless it says otherwise; lines that start with #key are
# further keys. A value with a unit stands in quotes: "3.2 mm", "1/8 in", "1475 degF", "25 min", "2 gal".
# Decimals have a point. Times count from the closing of the furnace door.
format = 1
title = ""

# Stages to run, always in this order. Left out: all, temper only when there is a [temper]. A case may also
# run one stage alone from the temperature in [start].
#stages = ["furnace", "transfer", "bath", "cool", "temper"]

[start]
temperature = "20 degC"         # of the whole blade; needed when the first stage is not the furnace
#austenitised = true            # only when the first stage is transfer, bath or cool (default there: true)

[blade]
steel = "O1"                    # needed: a shipped key, or the path of your own record ("steels/mine.toml")
length = "110 mm"               # needed
start = "spheroidised"          # spheroidised = annealed | fine pearlite = normalised
#notch_depth = "5 mm"           # deepest inner corner: tang shoulder, notch, plunge, stamp; default: not stated
#notch_radius = "1.5 mm"        # at its root (needed with notch_depth)
#scratches = "lengthwise"       # lengthwise | across: the last grit before hardening; default: not stated
# Single values of the steel's record may be replaced; keys as in the record:
#[blade.steel_override]
#transformation.pearlite_factor = 2

# One or more cross-sections. Distances count from the spine, thicknesses are those before hardening.
[[blade.station]]
name = "middle of the blade"    # default: station 1, 2 ...
width = "30 mm"                 # needed, with spine and edge; spine face to edge face
spine = "3.2 mm"
edge = "0.6 mm"                 # blunt edge, more than 0
grind = "flat"                  # flat | bevel | hollow | convex | one-sided
#bevel_height = "12 mm"         # bevel (needed there), hollow, convex, one-sided: from the edge up; 0 = all
#wheel_radius = "125 mm"        # hollow (needed there)
#convex_bulge = "0.2 mm"        # convex (needed there): bulge of each flank over the straight line
#false_edge_width = "8 mm"      # 0 = none; measured from the spine
#false_edge_thickness = "0.8 mm" # thickness left at the spine face

# A section may instead be an outline of points (a closed loop, any start, either sense) ...
#[[blade.station]]
#name = "ricasso"
#[blade.station.outline]
#x = ["0 mm", "30 mm", "30 mm", "0 mm"]
#y = ["1.6 mm", "1.5 mm", "-1.5 mm", "-1.6 mm"]

# ... or caliper readings of the thickness at distances from the spine.
#[[blade.station]]
#name = "tip"
#[blade.station.caliper]
#unit = "mm"
#distance = [0, 10, 20]
#thickness = [2.4, 1.6, 0.5]

[furnace]
loading = "hot"                 # hot: soaked at the set point | cold: follows [[furnace.programme]]
#setpoint = "802 degC"          # on the display; default: middle of the steel's usual hardening range
#timer = "35 min"               # blade out after this; left out: set by the program from the asked soak
timer_from = "door"             # the timer starts at: door (closing) | recovery (of the display)
droop = "10 K"                  # hot load: sag of the furnace on loading (common practice: 6-17 K)
recovery = "4 min"              # until 5 % of the sag is left (common practice)
reading_offset = "0 K"          # true temperature minus display
wall_emissivity = 0.75          # refractory; 1 = the blade is small against a large cavity
convection = "12 W/(m2 K)"      # natural convection inside the muffle
#overshoot = "10 K"             # of the controller after it first reads the set point; default 0
#overshoot_peak = "5 min"       # from then to the highest
#blades = 3                     # side by side, flanks facing: the middle one is computed. It sees less of the
#spacing = "30 mm"              # walls; the usual droop is 10 K for each. spacing: between facing flanks
# Slotted refractory under spine or edge:
#[furnace.support]
#face = "spine"                 # spine | edge: the end in the slot
#depth = "3 mm"                 # of the flanks in the slot; default 0: only the end face touches
#conductance = "150 W/(m2 K)"   # brick to blade or foil (50 to 350, no source)
#cooler = "0 K"                 # how far the brick is below the furnace: at the door, or just put in
# Cold load, one table per line of the controller (without droop and recovery):
#[[furnace.programme]]
#target = "650 degC"
#rate = "10 K/min"              # left out: as fast as it will
#hold = "15 min"                # default 0

[wrap]                          # without this table the blade is bare
foil = "stainless"              # a shipped key, the path of your own record, or "none"
layers = 1
fold = "hand folded"            # hand folded | pressed: sets the gap, a factor 3 either way
#thickness = "0.05 mm"          # of one layer; default, like all down to in_oil: from the foil's record
#gap = "0.3 mm"                 # of all faces; default: 0.3 mm hand folded, 25 um pressed
#gap_conductance = "200 W/(m2 K)" # plain number instead of air and contact in the gap (radiation stays)
#contact_fraction = 0.02        # share of the area in real contact
#contact_conductance = "1000 W/(m2 K)"
#emissivity_outside = 0.7
#emissivity_inside = 0.3
#emissivity_oxidised = 0.75     # the outside grows from emissivity_outside to this; default: it does not
#oxidises_in = "10 min"         # time constant in the furnace above 500 degC
#heat_capacity = "200 J/(m2 K)" # plain number instead of thickness, density and specific heat; per layer
gas = "air"                     # in the packet: air | nitrogen | argon
#contact_patches = { flank_a = 0.1 } # further share of single faces in contact: seams, pins, a pressed spot
in_oil = false                  # true: the foil stays on in the bath
#gaps = { flank_a = "25 um", flank_b = "0.3 mm", spine = "0.5 mm", edge = "1 mm" } # single faces
# Single values of the foil's record may be replaced; keys as in the record:
#[wrap.foil_override]
#service_limit = "1150 degC"

# Clay or paste on the bare blade, from before the furnace to the end of the quench, alike on both flanks.
#[coat]
#material = "clay"              # a shipped key of the solids or the path of your own record
#distance = ["0 mm", "14 mm", "18 mm"]   # from the spine ...
#thickness = ["1.5 mm", "1.5 mm", "0 mm"] # ... linear between, none outside
#spine = "1.5 mm"               # on the spine face; default 0
#edge = "0 mm"                  # on the edge face

[surface]                       # emissivity of the steel: bright (0.35) | scaled (0.8) | a number
air = "bright"                  # in air; default bright out of foil, scaled after a bare soak
furnace = "scaled"              # bare in the furnace
in_foil = 0.4                   # facing the foil
paint = "none"                  # none | anti-scale: counts where no foil covers the steel

[transfer]
time = "2 s"                    # furnace to bath
in_foil = false                 # true: the foil comes off at the bath; default: as wrap.in_oil
air = "20 degC"
#convection = "10 W/(m2 K)"     # plain number instead of natural convection

[bath]
coolant = "medium-oil"          # a shipped key or the path of your own record (a table h over temperature)
#temperature = "55 degC"        # default: middle of the coolant's recommended window
volume = "8 L"                  # "large": the bath stays at its temperature
agitation = "0 m/s"             # speed of blade against liquid
time = "60 s"                   # in the bath; default oil 60 s (180 s in foil), water 20 s, air 20 min
#htc = "1200 W/(m2 K)"          # plain constant instead of the coolant's table
#out_at = "230 degC"            # lift when this is reached (interrupted quench), after `time` at the latest
#out_where = "surface"          # of the hottest surface | inside (hottest point) | edge | spine (centres)
#immersion = "12 mm"            # edge only: this much of the width is in the bath, the rest in air
#blades = 3                     # one after another through this bath; the last one is computed
#interval = "5 min"             # from one blade to the next; the bath cools between
#water = "0.02 %"               # found in the oil, by volume; from 0.05 % warned of, above 0.1 % refused
#wetting_delay = "0.5 s"        # a blanket of vapour stands this long before the bath wets
#wetting_speed = "30 mm/s"      # then it climbs from the edge at this speed; default: all at once
#flank_delay = "0.3 s"          # flank B meets the liquid this much later (laid in); below 0: flank A
#flank_cooling = 0.8            # heat transfer of flank B over that of the rest (swished sideways)
# Single values of the coolant's record may be replaced; keys as in the record:
#[bath.coolant_override]
#flash = "190 degC"
# Plates pressed on both flanks in place of a liquid; spine and edge in the air. temperature: of the plates.
#[bath.plates]
#metal = "aluminium"            # aluminium | copper | the path of your own record of a solid
#thickness = "25 mm"            # of each plate
#contact = "1500 W/(m2 K)"      # between blade and plate; default: from the record, a factor 2 either way
#contact_b = "1500 W/(m2 K)"    # on flank B; default: as contact

# A second bath after the first, with the same keys: water then oil, oil then air, a first bath with out_at.
#[second_bath]
#coolant = "medium-oil"
#move = "1 s"                   # in the air from the first bath to this one

[cool]                          # in air after the bath
air = "20 degC"
#convection = "10 W/(m2 K)"     # plain number instead of natural convection
lowest = "20 degC"              # lowest temperature before tempering: hand-warm, room, freezer; default: air
#wait = "1 h"                   # left lying at room temperature before the freezer, dry ice or nitrogen

[temper]                        # without this table there is no temper
oven = "205 degC"               # needed here
time = "2 h"                    # each time, from blade in
count = 2
kind = "still"                  # still | fan
#delay = "30 min"               # left untempered after the quench; default: not stated
swing = "0 K"                   # amplitude of the oven's swing about its set point
swing_period = "10 min"
edge_extra = "0 K"              # how much hotter the thin edge is held (radiation of the element)
#convection = "10 W/(m2 K)"     # default: 10 W/(m2 K) still, 30 W/(m2 K) fan
emissivity = "bright"           # bright | scaled | a number

[wish]
#soak = "20 min"                # time at temperature; default: the steel's usual one
within = "6 K"                  # "at temperature": within this of the set point
#hardness = ["60 HRC", "62 HRC"] # wanted after temper; default: none stated
#harden = ["edge", "middle"]    # zones that must harden: edge, middle, spine, thickest; default: all
#soft = ["spine"]               # zones that are to stay soft; the rest may do either

[verdict]                       # where the verdicts change
transformed_pass = "2 %"        # pearlite and bainite up to here: pass
transformed_marginal = "10 %"   # up to here: marginal, above: fail
austenite_least = "99 %"        # share of austenite below which the soak fails
soft_least = "50 %"             # pearlite and bainite from here on: a zone wished soft passes
bow_pass = "0.5 mm"             # bow of the blade out of the quench up to here: pass (common practice)
bow_marginal = "1.5 mm"         # up to here: marginal, above: fail (common practice)
flash_margin = "28 K"           # the bath should stay this far below its flash point (29 CFR 1910.126)

# How well you know the figures above; the bands of the answers come from it. Each is "measured", "typical"
# (the default), "from memory" (wide), "exact", or a width of its own: half of the band that holds nine times
# in ten, or a factor either way. materials/typical_uncertainty.toml has them all, with their widths.
[uncertainty]
#furnace_reading = "6 K"        # "measured" once it was checked against a melting point or a second probe
#foil_gap = 3                   # a factor either way
#oil_h = "20 %"                 # of the heat transfer, when the oil's own test was read
#oil_blanket = "10 K"           # the end of its vapour blanket
#oil_temperature = "5 K"
#transfer_time = "0.5 s"
#steel_carbon = 0.05            # wt%
#temper_curve = "1 HRC"
#oven_reading = "measured"
#edge_thickness = "0.05 mm"

# Points at which the temperature is written; any number.
#[[probe]]
#name = "thermocouple"
#x = "15 mm"                    # from the spine
#y = "0 mm"                     # from the centre plane

[output]
#times = ["60 s", "10 min"]     # of the fields written; default: a set for each stage

[solver]
tolerance = "0.1 K"             # error per time step
along = 90                      # grid intervals along the width
#across = 8                     # grid intervals through the thickness, even; default: 6, or one for each 0.4 mm
max_step = "0 s"                # 0 = free
symmetry = true                 # compute one half when both flanks are alike
)case";
}

} // namespace tq::treatment
