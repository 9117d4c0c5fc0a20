// SPDX-License-Identifier: Apache-2.0
// The table of rules. Sources: published ones by name; numbers of a published page without a
// standard behind it as "job-shop guideline"; the rest as common practice.
#include "check/inside.h"

#include <string.h>

#define PRACTICE  "common practice, no source"
#define GEOMETRY  "geometry"
#define FILE_SAYS "the shop file"

const struct kw_rule kw_rules[] = {
    // ---- shape of sheet parts
    {"flange-fit", KW_STOP, 0, "mm", "flat left = size - setbacks of the bends on it > 0",
     "a flange has no room on its edge, or no flat is left between bends",
     "make the flange or the base larger, or the inside radius smaller", GEOMETRY, false},
    {"flange-cycle", KW_STOP, 0, "", "every flange leads back to the base",
     "flanges stand on one another in a circle", "let one of them stand on an edge of the base",
     GEOMETRY, false},
    {"bend-line", KW_STOP, 0, "", "a bend line and its bend zone run from edge to edge of one flat",
     "a bend line of the drawing does not split the blank in two flats",
     "draw it from edge to edge, clear of other bends", GEOMETRY, false},
    {"blank-overlap", KW_STOP, 0, "", "the flat outline nowhere meets itself",
     "the flat blank overlaps itself", "shorten the flanges that run into each other", GEOMETRY,
     false},
    {"hole-outside", KW_STOP, 0, "", "a hole lies wholly inside the blank",
     "a hole reaches over the edge of the blank", "move it or make it smaller", GEOMETRY, false},
    {"holes-cross", KW_STOP, 0, "", "no two holes touch", "two holes run into each other",
     "move one of them", GEOMETRY, false},
    {"hole-on-bend", KW_RISK, 0, "", "no hole reaches into a bend zone",
     "a hole lies in a bend zone and will be pulled out of shape",
     "move it clear of the bend, or drill it after bending", PRACTICE, false},
    {"flanges-collide", KW_STOP, 0.1, "mm", "no two flats of the folded part share metal",
     "flanges run into each other when folded",
     "let one keep more from its ends (from_start, from_end), or make it lower", GEOMETRY, false},
    {"letter-face", KW_STOP, 0, "", "the face is installed and has every letter",
     "letters can't be drawn in the face that is asked for",
     "name an installed face under font, or leave it out", FILE_SAYS, false},
    {"letter-bridge", KW_STOP, 0, "mm", "every island is held by a bridge of the width asked for",
     "an island of a letter or ornament finds no place for a bridge",
     "make it larger, or the bridges narrower", GEOMETRY, false},
    // ---- cutting
    {"no-table", KW_STOP, 0, "", "the shop has a plasma table", "the shop has no plasma table",
     "describe it under `table:` in shop.yaml", FILE_SAYS, false},
    {"no-cut-rule", KW_STOP, 0, "mm",
     "a row of cut rules for the very stock, or two about it where the shop mixes them",
     "there is no cut rule for this sheet", "add one under `table: cut_rules:` in shop.yaml",
     FILE_SAYS, false},
    {"feed-over-table", KW_STOP, 0, "mm/s", "feed of the cut rule <= most_feed of the table",
     "the cut rule's feed is above what the table can do", "lower the feed, or the current",
     FILE_SAYS, false},
    {"no-sheet", KW_STOP, 0, "", "a sheet of the stock under `sheets:`",
     "no sheet of this stock is on the rack or can be bought",
     "add a sheet size in shop.yaml, or make the part from another stock", FILE_SAYS, false},
    {"blank-too-large", KW_STOP, 0, "mm", "blank + 2 margins <= sheet, either way round",
     "the blank is larger than any sheet of its stock",
     "make the part smaller or in two pieces, or add a larger sheet", GEOMETRY, false},
    {"hole-small", KW_RISK, 1.5, "mm",
     "least hole = the largest of limit x t, 3 kerfs, 3/16 in; or the cut rule's least_hole",
     "a hole is too small to be cut well",
     "make it larger, or `make: drill`: marked by the torch and drilled",
     "1.5 t: job-shop guideline; 3 kerfs, 3/16 in: common practice, no source", true},
    {"kerf-wider-than-slot", KW_STOP, 1, "mm",
     "least width of a hole, slot or cut-out = limit x kerf",
     "a hole, slot or cut-out is no wider than the kerf", "make it wider, or mark and drill it",
     GEOMETRY, true},
    {"slot-narrow", KW_RISK, 2, "mm", "least width of a slot = limit x kerf",
     "a slot is narrower than two kerfs", "make it wider", PRACTICE, false},
    {"web-thin", KW_RISK, 1.5, "mm",
     "least metal between two holes, or hole and edge = the larger of limit x t and 2 kerfs",
     "the metal beside a hole is too thin: it burns away or warps",
     "move the hole, or make it smaller",
     "1.5 t: job-shop guideline (hole spacing); 2 kerfs: common practice, no source", true},
    {"inside-corner-sharp", KW_NOTE, 0.5, "mm", "an inside corner keeps a radius of limit x kerf",
     "a sharp inside corner comes out round",
     "round the corner in the drawing, or clip what goes into it", GEOMETRY, true},
    {"part-small", KW_NOTE, 3 * KW_MM_PER_IN, "mm", "longest side of the blank >= limit",
     "the part is so small that it can tip or fall between the slats",
     "hold it by a tab, or lay a plate over the slats", PRACTICE, true},
    {"hole-closes", KW_STOP, 0, "mm", "the path inside a hole does not close up",
     "a hole is too narrow for the torch's path", "make it wider, or mark and drill it", GEOMETRY,
     false},
    {"no-lead-in", KW_RISK, 0, "mm", "room for a lead-in in the scrap beside the cut",
     "there is no room for a lead-in", "make the hole larger or the lead-in shorter", GEOMETRY,
     false},
    {"cut-too-near", KW_RISK, 0, "mm", "cuts stay a kerf apart", "two cuts run too near each other",
     "move them apart", GEOMETRY, false},
    {"start-on-edge", KW_NOTE, 0, "mm", "cuts begin off gauged, mating, welded and gripped edges",
     "no other place was left to begin its cut than an edge that matters", "dress the nib there",
     GEOMETRY, false},
    {"mark-left-out", KW_NOTE, 0, "mm",
     "a mark must lie inside the part and where the table reaches",
     "a mark is left out of the program", "mark it by hand", GEOMETRY, false},
    {"program-name-short", KW_NOTE, 0, "", "names of programs that the control holds",
     "the control does not hold the name of a program", "give the run a shorter name", FILE_SAYS,
     false},
    // ---- bending
    {"no-press", KW_STOP, 0, "", "the shop has a press brake", "the shop has no press brake",
     "describe it under `press:` in shop.yaml", FILE_SAYS, false},
    {"no-die", KW_STOP, 0, "mm", "a die of 4 to 24 thicknesses, wanted 6 t, 8 t, 10 t or 12 t",
     "no die fits this thickness", "add a die near the opening wanted",
     "air bend charts; bounds: common practice, no source", false},
    {"no-punch", KW_STOP, 0, "", "the shop has a punch", "there is no punch",
     "add one under `press: punches:`", FILE_SAYS, false},
    {"leg-short", KW_STOP, 0.65, "mm",
     "least outside leg at up to 90 degrees = 0.65 V (stop), 0.75 V (risk)",
     "a leg is too short for the die", "make the leg longer, or use a smaller die", PRACTICE,
     false},
    {"leg-sharp", KW_STOP, 1.1, "mm",
     "least outside leg rises from 0.65 V at 90 to 1.1 V at 135 degrees (stop), 0.75 V to 1.27 V "
     "(risk)",
     "a leg is too short for the die in a bend this sharp",
     "make the leg longer, use a smaller die, or turn it less", PRACTICE, false},
    {"force-press", KW_STOP, 1, "kN",
     "1.33 (8 t) to 1.20 (16 t) x tensile x length x t^2 / V; over the rating a stop, over 80 % of "
     "it a risk",
     "the bend needs more force than the press gives", "use a wider die, or bend a shorter piece",
     "Groover, Fundamentals of Modern Manufacturing; 80 %: common practice, no source", false},
    {"force-tool", KW_STOP, 1, "kN/m",
     "1.33 (8 t) to 1.20 (16 t) x tensile x t^2 / V; over the tool's rating a stop, over 80 % of "
     "it a risk",
     "the bend needs more force than its tools bear", "use a wider die, or stronger tools",
     "Groover, Fundamentals of Modern Manufacturing; 80 %: common practice, no source", false},
    {"bend-long", KW_STOP, 0, "mm", "length of the bend <= bed and tools",
     "the bend is longer than the bed or the tools", "shorten it, or bend it elsewhere", FILE_SAYS,
     false},
    {"between-frames", KW_STOP, 0, "mm",
     "deeper than the throat: the part's width <= between the frames",
     "the part does not go between the press's frames", "bend it elsewhere, or turn the bend round",
     GEOMETRY, false},
    {"bend-radius-least", KW_STOP, 0, "mm", "inside radius >= the material's least_radius x t",
     "the inside radius is so small that the metal cracks", "use a wider die or a softer material",
     "the material's own table in shop.yaml", false},
    {"bend-radius-off", KW_NOTE, 0.25, "mm",
     "the radius that the die gives is within a quarter (or 0.3 mm) of the part's",
     "the die gives another inside radius than the part asks for: sizes shift",
     "leave `radius` out, or ask for the radius that the die gives",
     "20 % rule, whose own spread is about a quarter", false},
    {"bend-sharp", KW_STOP, 0, "deg", "turn under load <= 180 degrees - tool angle",
     "the tools can't turn the bend this far", "turn it less, or use sharper tools", GEOMETRY,
     false},
    {"stays-elastic", KW_STOP, 0.5, "", "R Y / (E t) < 0.5", "the bend would spring back wholly",
     "use a smaller radius", "Gardiner 1957; Kalpakjian and Schmid", false},
    {"no-room", KW_STOP, 0, "mm", "tools, sheet and stroke within the open height",
     "the tools and the sheet do not fit between bed and ram", "use lower tools", GEOMETRY, false},
    {"bend-collision", KW_STOP, 0, "mm",
     "an order in which the part clears punch, die, ram and bed",
     "no order of its bends clears the tools",
     "change the flange's size or order of bends, or make the part in two", GEOMETRY, false},
    {"bend-tight", KW_RISK, 0, "mm", "0.5 mm between part and tools through every stroke",
     "no order of its bends keeps the full clearance from the tools",
     "bring the tools together slowly on the first piece and watch the gap", PRACTICE, false},
    {"bend-overbend", KW_RISK, 0, "deg",
     "further turn before the sheet lies on the punch's body: a note under 2 degrees, a risk under "
     "0.5",
     "where it springs back more than reckoned it can't be bent on: the sheet lies on the punch",
     "bend a trial piece first; a punch whose neck leaves more room, or a smaller die, which bends "
     "the corner tighter",
     PRACTICE, false},
    {"tool-segments", KW_STOP, 0, "mm", "tools that fit between the side flanges",
     "no set of tool segments has the length", "buy segments, or change the flanges", FILE_SAYS,
     false},
    {"no-gauge", KW_STOP, 0, "mm", "the press has a back gauge", "the press has no back gauge",
     "give `gauge_least` and `gauge_most` in shop.yaml", FILE_SAYS, false},
    {"gauge-reach", KW_STOP, 0, "mm", "the edge lies in the gauge's range",
     "the gauge does not reach the edge", "gauge from a mark, or change the flange", GEOMETRY,
     false},
    {"gauge-fingers", KW_STOP, 0, "mm",
     "a finger before the edge clears punch, die, ram and bed, all the way down",
     "the edge lies so near the bend that the gauge's fingers would stand in the tools",
     "gauge from a scribed line, make the flange longer, or use lower fingers or slimmer tools",
     GEOMETRY, false},
    {"no-gauge-edge", KW_RISK, 0, "mm", "a straight edge along the bend, 10 mm in all",
     "no straight edge along the bend rests on the gauge",
     "leave a tab to gauge from, or mark the "
     "bend line",
     PRACTICE, false},
    {"bend-hold", KW_RISK, 0, "mm",
     "the part reaches at least hold_clear out before the die; a note where it is narrower there "
     "than two hands, 150 mm",
     "nothing of the part can be held clear of the point of bending",
     "hold it with a magnet or pliers, bend it from a longer strip and cut it off, or make the leg "
     "longer",
     PRACTICE, false},
    {"bend-plan", KW_STOP, 0, "", "", "the bends of this part can't be planned", "check the bends",
     "", false},
    {"hole-near-bend", KW_RISK, 0.5, "mm",
     "edge of a hole to the bend line on the blank >= limit x V - 1 mm (slots and cut-outs: + 1 "
     "mm)",
     "a hole is so near a bend that it will be pulled out of shape",
     "move it away, use a smaller die, or drill it after bending",
     "sheet metal bending guideline (check values 3.3)", true},
    {"heavy-part", KW_NOTE, 0, "kg", "mass of the part <= press: one_person",
     "the part is too heavy for one person", "two people lift it", PRACTICE, false},
    // ---- tube and bar
    {"no-bender", KW_STOP, 0, "", "the shop has a tube bender", "the shop has no tube bender",
     "describe it under `bender:` in shop.yaml", FILE_SAYS, false},
    {"no-saw", KW_STOP, 0, "", "the shop has a saw", "the shop has no saw",
     "describe it under `saw:` in shop.yaml", FILE_SAYS, false},
    {"no-stick", KW_STOP, 0, "mm", "length to saw + trim at the stick's end <= longest stick",
     "no stick of this stock is long enough", "make it in two pieces, or add a longer stick",
     GEOMETRY, false},
    {"tube-not-round", KW_STOP, 0, "", "only round tube is bent here",
     "this stock is not round tube and can't be bent here", "make it from round tube", FILE_SAYS,
     false},
    {"tube-trim", KW_NOTE, 0, "mm", "ends as long as the die's clamp and lead",
     "an end is too short to hold: it is bent longer and sawn off",
     "make the end longer to save the cut", GEOMETRY, false},
    {"tube-step-order", KW_STOP, 0, "", "straights and turns alternate, a straight first and last",
     "straights and turns do not alternate", "write `up 20, turn 90, across 10`", GEOMETRY, false},
    {"tube-turn-disagrees", KW_STOP, 0, "deg",
     "a turn is no larger than the angle to the direction that follows",
     "a turn goes past or can't reach the direction named", "correct the turn or the word",
     GEOMETRY, false},
    {"tube-zero-length-straight", KW_STOP, 0, "mm", "every straight is longer than nothing",
     "a straight has no length", "give it one", GEOMETRY, false},
    {"tube-doubles-back", KW_STOP, 0, "deg", "every turn is under 179 degrees",
     "the tube doubles back on itself", "use two turns", GEOMETRY, false},
    {"tube-radius-does-not-fit", KW_STOP, 0, "mm", "straight >= the tangents of its two bends",
     "the bends at a straight's ends overlap", "make the straight longer, or the radius smaller",
     GEOMETRY, false},
    {"tube-too-few-points", KW_STOP, 0, "", "two points or more", "a centreline needs two points",
     "add one", GEOMETRY, false},
    {"tube-out-of-range", KW_STOP, 0, "", "numbers are finite and within 50 m",
     "a number is outside what is read here", "correct it", GEOMETRY, false},
    {"tube-wall-thicker-than-half", KW_STOP, 0, "mm", "wall < half the diameter",
     "the wall is half the diameter or more", "correct the stock", GEOMETRY, false},
    {"tube-od-no-die", KW_STOP, 0, "mm", "a die for the very diameter",
     "there is no die for this diameter", "add one, or use tube of another diameter", FILE_SAYS,
     false},
    {"tube-radius-no-die", KW_STOP, 0, "mm", "a die of the very centreline radius",
     "there is no die with this centreline radius", "use the radius of a die that is there",
     FILE_SAYS, false},
    {"tube-angle-beyond-die", KW_STOP, 0, "deg", "turn <= the die's most angle",
     "the bend is larger than the die can make", "turn it less", FILE_SAYS, false},
    {"tube-wall-beyond", KW_STOP, 0, "mm", "wall <= the bender's most wall",
     "the wall is thicker than the bender bends", "use thinner tube", FILE_SAYS, false},
    {"tube-straight-too-short", KW_STOP, 0, "mm", "straight between bends >= clamp or lead",
     "a straight is too short to clamp", "make the straight longer", FILE_SAYS, false},
    {"tube-under-three-d", KW_RISK, 3, "", "centreline radius >= 3 diameters without a mandrel",
     "the radius is under three diameters: the tube may flatten",
     "bend a trial piece, or use a larger radius", "Groover (from memory); common advice", false},
    {"tube-wall-factor", KW_RISK, 16, "", "diameter / wall <= 16 at 3 D, rising to 20 at 4 D",
     "the wall is thin for bending without a mandrel", "bend a trial piece, or use a thicker wall",
     PRACTICE, false},
    {"tube-seam", KW_NOTE, 45, "deg", "weld seam within the limit of the side in every bend",
     "the weld seam can't lie to the side of every bend",
     "take seamless tube, or look at the seam on a trial piece", PRACTICE, true},
    {"tube-turned-by-hand", KW_NOTE, 0, "deg", "turns between planes are set on a dial",
     "the bender does not turn the tube: index it by hand", "read the dial stop on the tube sheet",
     FILE_SAYS, false},
    {"tube-hits-floor", KW_STOP, 0, "deg",
     "every part of the tube 0.5 mm off the floor through every bend",
     "the tube meets the floor as it swings", "raise the bender, or split the tube in two",
     GEOMETRY, false},
    {"tube-hits-machine", KW_STOP, 0, "deg",
     "every part of the tube 0.5 mm off the bender's bodies through every bend",
     "the tube meets the machine as it swings",
     "lengthen the straight, change the order of planes, or split the tube in two", GEOMETRY,
     false},
    {"tube-hits-itself", KW_STOP, 0, "deg",
     "every part of the tube 0.5 mm off the stick behind the die through every bend",
     "the tube meets itself as it is bent", "open the shape, or split the tube in two", GEOMETRY,
     false},
    {"tube-feed-hits-machine", KW_STOP, 0, "mm",
     "fed on to the next bend the tube stays 0.5 mm off the bender's bodies; a note where a person "
     "turns the tube",
     "the tube meets the machine as it is fed on",
     "change the order of planes, or split the tube in two", GEOMETRY, false},
    {"tube-turn-hits-floor", KW_STOP, 0, "deg",
     "turned to the next bend, either way round, the tube stays 0.5 mm off the floor; a note where "
     "a person turns the tube",
     "the tube meets the floor as it is turned", "raise the bender, or split the tube in two",
     GEOMETRY, false},
    {"tube-turn-hits-machine", KW_STOP, 0, "deg",
     "turned to the next bend, either way round, the tube stays 0.5 mm off the bender's bodies; a "
     "note where a person turns the tube",
     "the tube meets the machine as it is turned",
     "lengthen the straight, or split the tube in two", GEOMETRY, false},
    {"cope-too-flat", KW_STOP, 15, "deg", "angle between coped tubes >= 15 degrees",
     "the tubes meet at too flat an angle for a cope", "let them meet at a steeper angle", PRACTICE,
     false},
    {"cope-misses", KW_STOP, 0, "mm", "offset + the tube's radius <= the radius of the other tube",
     "the tube is wider than the tube it stands on, there",
     "make the offset smaller, or stand it on a larger tube", GEOMETRY, false},
    {"cope-meets-nothing", KW_STOP, 0, "mm",
     "where it stands, a tube coped onto a part meets a piece of it",
     "the end of a tube meets nothing where it stands",
     "move one of the two pieces (at:), or say a diameter, angle and offset", GEOMETRY, false},
    {"pieces-need-other-ends", KW_STOP, 0.01, "mm",
     "all pieces of one part need the same cuts where they stand",
     "pieces of one part need different cuts", "make them two parts, or move one (at:)", GEOMETRY,
     false},
    {"hole-off-tube", KW_STOP, 0, "mm", "a drilled hole lies whole in the tube as it stands",
     "a hole leaves the tube where it stands", "move the hole, or the pieces (at:)", GEOMETRY,
     false},
    {"follows-assembly", KW_NOTE, 0, "mm",
     "length, angle and offset of a fitted tube are those of the assembly",
     "the file says another size than the assembly",
     "write what the assembly gives, or leave it out", GEOMETRY, false},
    {"bend-grain", KW_NOTE, 0, "mm",
     "inside radius >= the material's least_radius_along x t, or the bend across the grain",
     "a bend is too tight to lie along the grain", "use a wider die, or let the bends run one way",
     "DIN 6935 (from memory): bend across the "
     "rolling direction where possible; the factor is the shop's",
     false},
    {"bend-relief", KW_RISK, 0, "mm",
     "no inside corner of a drawn blank within half the bend zone and half a thickness of a bend's "
     "end",
     "a bend ends in an inside corner without a relief", "draw a notch past the bend line there",
     "FAA AC 65-15A: reliefs reach past the bend tangent line", false},
    {"no-hem-tool", KW_STOP, 0, "", "a hemming tool among the press's tools",
     "the shop has no tool that flattens a hem", "list one under `press: hemming:`, or make no hem",
     FILE_SAYS, false},
    {"hem-force", KW_STOP, 1, "kN",
     "4 x 1.33 x tensile x length x t / 8; over the rating a stop, over 80 % of it a risk",
     "flattening the hem needs more force than the press gives",
     "make the hem shorter or open, or use thinner sheet", PRACTICE, true},
    {"hand-tab-stiff", KW_RISK, 200, "N",
     "force at the tab's edge = yield x webs x t^2 / 4 / height, at most the limit",
     "a tab is too stiff to bend by hand", "make its webs narrower or its slits longer",
     "plastic moment of a plate: geometry; 200 N: common practice, no source", true},
    {"hand-tab-weak", KW_RISK, 15, "N", "force at the tab's edge, at least the limit",
     "a tab is too weak to hold", "make its webs wider or its slits shorter", PRACTICE, true},
    // ---- dimples, letters
    {"no-shop-press", KW_STOP, 0, "", "the shop has a press for dimples",
     "the shop has no press for dimples", "describe it under `shop_press:` in shop.yaml", FILE_SAYS,
     false},
    {"dimple-thick", KW_STOP, 0, "mm", "t <= the die's most_thickness",
     "the sheet is too thick for the dimple die", "use thinner sheet or another die", FILE_SAYS,
     false},
    {"dimple-force", KW_STOP, 1, "kN",
     "the die's own force x t / most_thickness; over the rating a stop, over 80 % of it a risk",
     "a dimple needs more force than the press gives", "use a smaller die or thinner sheet",
     "the die's table; 80 %: common practice, no source", true},
    {"dimple-reach", KW_STOP, 0, "mm", "distance to the nearest side of the blank <= throat",
     "a dimple lies deeper in the part than the press reaches", "move it nearer to an edge",
     GEOMETRY, false},
    {"dimple-room", KW_STOP, 0, "mm",
     "half the die's clear diameter to edges, holes, bends and other dimples' clear circles",
     "the dimple die has no room", "move the dimple, or what is beside it", GEOMETRY, false},
    {"dimple-near-bend", KW_RISK, 0.5, "mm",
     "flared before the bends: edge of the flare to the bend line on the blank >= limit x V",
     "a flare is so near a bend that bending pulls it out of round",
     "move it away from the bend, or use a smaller die", PRACTICE, true},
    {"dimple-last", KW_NOTE, 0, "mm",
     "no order of the bends clears the flare, and the bent part goes into the shop press",
     "a dimple is flared after the bends", "flare it when all is bent, see the dimple sheet",
     GEOMETRY, false},
    {"dimple-between", KW_NOTE, 0, "mm",
     "no order of the bends clears the flare, and the finished part doesn't go into the shop "
     "press, "
     "but it does with some bends made",
     "a dimple is flared between two bends",
     "flare it after the step that says so, see the bend "
     "sheet and the dimple sheet",
     GEOMETRY, false},
    {"dimple-after-bends", KW_STOP, 0, "mm",
     "flared after the bends: reach of the bent part <= throat, height between the arms <= "
     "daylight",
     "a dimple fits neither before the bends nor after them",
     "move it away from the bend, let it stand out on the other side, or make the flange lower",
     GEOMETRY, false},
    {"dimple-stretch", KW_RISK, 0.25, "",
     "edge after / edge before - 1, a flat ring folded to a cone of the die's height",
     "the flare stretches the hole's edge so far that a plasma-cut edge may tear",
     "dress the hole's edge, or use a lower flare",
     "hole expansion of mild steel, punched, 90 % and more (ISO 16630, values from memory); a "
     "quarter of it for a plasma-cut edge: common practice, no source",
     true},
    {"marks-by-hand", KW_NOTE, 0, "", "marks are etched where `marking: way` is etch",
     "a part has marks that the table can't etch", "draw them by hand from the blank's drawing",
     FILE_SAYS, false},
    {"letter-stroke", KW_STOP, 1, "mm", "thinnest stroke of letters >= limit x kerf",
     "a stroke of the letters is no wider than the kerf",
     "make the letters higher, or take a bolder face", GEOMETRY, true},
    {"letter-web", KW_RISK, 1.5, "mm", "thinnest metal between openings >= limit x t and 2 kerfs",
     "the metal between letters is too thin", "make the letters or their bridges larger", PRACTICE,
     true},
    // ---- the assembled kit
    {"joint-apart", KW_STOP, 0.5, "mm",
     "a tabbed edge lies square on the face of its slots, within the limit, with room for its tabs",
     "an edge with tabs doesn't meet the face that has the slots",
     "move one of the two pieces, or change its size", GEOMETRY, false},
    {"tab-without-slot", KW_STOP, 0, "mm", "every tab of every piece lies in a slot",
     "a tab meets no slot where its piece stands",
     "give each piece of the part the same joint, or make two parts of it", GEOMETRY, false},
    {"tab-tight", KW_STOP, 0, "mm", "slot - thickest sheet in tolerance - offset of their middles",
     "a tab is wider than its slot when the sheet is at its thickest",
     "make the slot wider, or move the piece to the slot's middle", GEOMETRY, false},
    {"pieces-collide", KW_STOP, 0.1, "mm", "no two pieces share metal deeper than the limit",
     "two pieces of the assembled kit run into each other", "move one of them, or make it smaller",
     GEOMETRY, false},
    {"weld-apart", KW_STOP, 3, "mm", "an edge of one piece within the limit of a face of the other",
     "two pieces that are to be welded don't meet", "move one of them, or take the weld out",
     GEOMETRY, false},
    {"weld-gap", KW_RISK, 0, "mm", "gap of a seam <= 1/32 in or half the thinner sheet",
     "a weld seam gapes", "move the pieces together, or make one of them larger", PRACTICE, false},
    {"assembly-count", KW_NOTE, 0, "", "as many pieces stand in the assembly as a kit holds",
     "the assembly shows another number of a part than a kit holds",
     "correct per_kit, or add the missing pieces to the assembly", FILE_SAYS, false},
    {"size-differs", KW_STOP, 0.8, "mm",
     "the finished size named by size_measured is the number in the size's name, within 1/32 in",
     "the kit is not as large as its name says", "correct the size's dimensions, or its name",
     FILE_SAYS, false},
    // ---- the run
    {"sheets-short", KW_RISK, 0, "", "sheets on the rack >= sheets wanted",
     "there are not enough sheets", "buy sheets, or make fewer", FILE_SAYS, false},
    {"sticks-short", KW_RISK, 0, "", "sticks on the rack >= sticks wanted",
     "there are not enough sticks", "buy sticks, or make fewer", FILE_SAYS, false},
    {"hours-short", KW_RISK, 0, "h", "hours wanted <= hours of the week",
     "a machine has more hours than the week", "work longer, or put an order off", FILE_SAYS,
     false},
    // ---- cartons
    {"no-carton", KW_STOP, 0, "mm", "every piece fits a carton", "it fits no carton of the shop",
     "add a larger carton, or make it in two pieces", GEOMETRY, false},
    {"carton-heavy", KW_STOP, 0, "kg", "piece and carton <= the carton's and the carrier's limit",
     "it is too heavy for a carton", "ship it another way", FILE_SAYS, false},
    {"parcel-long", KW_STOP, 0, "mm", "longest side <= the carrier's limit",
     "it fits only cartons that are longer than the carrier takes", "make it in two pieces",
     FILE_SAYS, false},
    {"parcel-girth", KW_STOP, 0, "mm", "length plus girth <= the carrier's limit",
     "it fits only cartons over the carrier's length plus girth", "make it in two pieces",
     FILE_SAYS, false},
    {"cartons-short", KW_RISK, 0, "", "cartons on hand >= cartons wanted",
     "there are not enough cartons", "buy cartons", FILE_SAYS, false},
    {"carton-two-people", KW_NOTE, 0, "kg", "gross mass <= press: one_person",
     "the carton is too heavy for one person", "two people lift it", PRACTICE, false},
    // ---- out of the scrap
    {"coupons-no-room", KW_NOTE, 0, "", "test pieces wanted <= test pieces that find room",
     "test pieces find no room in what would be scrap",
     "cut them from a drop, or wait for the next run", PRACTICE, false},
    {"filler-costs-more", KW_NOTE, 0, "",
     "value of a filler > its time on the table and its pierces",
     "a filler is worth no more than cutting it costs",
     "give it a higher value, or take it out of `fillers:`", PRACTICE, false},
    {"filler-not-made", KW_NOTE, 0, "", "a filler is a flat sheet part that can be made",
     "a filler is not cut", "name a flat part without bends", PRACTICE, false},
    // ---- signatures, overrides
    {"signed-for-older-form", KW_NOTE, 0, "", "the code signed for is the part's present code",
     "the risk was signed for an older form of the part", "look again, and sign with the new code",
     FILE_SAYS, false},
    {"signed-not-needed", KW_NOTE, 0, "", "a signature has a risk to hold to",
     "a risk is signed that is not there", "take the signature out", FILE_SAYS, false},
    {"rule-override", KW_NOTE, 0, "",
     "`rules:` in shop.yaml names rules whose limit is the shop's own",
     "a limit is given for a rule that takes none", "see docs/rules.md for the names", FILE_SAYS,
     false},
    {0},
};

static const struct kw_rule *find(const char *id) {
    for (const struct kw_rule *r = kw_rules; r->id; r++)
        if (strcmp(r->id, id) == 0) return r;
    return NULL;
}

const struct kw_rule *kw_rule_named(const char *id) {
    const struct kw_rule *r = find(id);
    kw_assert(r != NULL);
    return r;
}

double kw_rule_limit(const struct kw_shop *shop, const char *id) {
    const struct kw_rule *r = kw_rule_named(id);
    for (int i = 0; r->own && i < shop->rules.count; i++) {
        const struct kw_rule_override *o = KW_ITEM(struct kw_rule_override, shop->rules, i);
        if (strcmp(o->name, id) == 0) return o->limit;
    }
    return r->limit;
}

struct kw_finding kw_rule_finding(const char *id, const struct kw_kit *kit,
                                  const struct kw_part *part, struct kw_place where) {
    const struct kw_rule *r = kw_rule_named(id);
    return (struct kw_finding){.level = r->level,
                               .rule = r->id,
                               .kit = kit ? kit->name : NULL,
                               .part = part ? part->name : NULL,
                               .where = where,
                               .frame = "",
                               .limit = r->limit,
                               .unit = r->unit,
                               .says = r->says,
                               .fix = r->fix};
}

/// Said once, though every kit is checked by itself.
static bool already_said(const struct kw_findings *list, const char *rule, struct kw_place at) {
    for (int i = 0; i < list->count; i++) {
        const struct kw_finding *f = &list->v[i];
        if (strcmp(f->rule, rule) == 0 && f->where.line == at.line && f->where.column == at.column)
            return true;
    }
    return false;
}

void check_overrides(struct checking *c) {
    for (int i = 0; i < c->shop->rules.count; i++) {
        const struct kw_rule_override *o = KW_ITEM(struct kw_rule_override, c->shop->rules, i);
        const struct kw_rule *r = find(o->name);
        struct kw_place at = check_place(o->node, "limit");
        if ((r && r->own) || already_said(c->findings, "rule-override", at)) continue;
        struct kw_finding f = kw_rule_finding("rule-override", NULL, NULL, at);
        f.says = kw_format(
            c->arena, r ? "rule %s takes no limit from the shop" : "there is no rule %s", o->name);
        kw_find(c->findings, f);
    }
}

void kw_rules_page(struct kw_text *out) {
    kw_text_add(out, "# Rules\n\nWhat `kitwright check` and `kitwright run` look for. A stop can't "
                     "be made here; a risk can, when\nsomebody signs it in the kit file; a note is "
                     "only told. t is the thickness, V the die opening.\nRules marked *own* take "
                     "another limit from `rules:` in shop.yaml.\n\n");
    kw_text_add(out, "| rule | level | says | formula | limit | what to do | source |\n"
                     "|---|---|---|---|---|---|---|\n");
    for (const struct kw_rule *r = kw_rules; r->id; r++) {
        char limit[KW_NUMBER_SIZE] = "";
        if (r->limit > 0) kw_number(limit, r->limit, 3);
        kw_text_addf(out, "| %s | %s | %s | %s | %s%s | %s | %s |\n", r->id,
                     kw_level_name(r->level), r->says, r->formula, limit, r->own ? " *own*" : "",
                     r->fix, r->source);
    }
}
