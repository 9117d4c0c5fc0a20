// SPDX-License-Identifier: Apache-2.0
// The usual cautions, in plain words, one text a bench. All say that figures are estimates to be
// proven on a first piece and defer to the machine's manual, local codes and licensed practice.
#pragma once

#define CAUTION_WEEK                                                                               \
    "All figures are estimates: prove them on a first piece. The manuals of your machines, local " \
    "codes and licensed practice come before anything printed here. Steel edges cut: gloves and "  \
    "eye protection at every bench."
#define CAUTION_TABLE                                                                              \
    "Plasma: shade your eyes and skin, keep fumes drawn off (zinc fume makes you ill), nothing "   \
    "that burns within 35 ft, watch for fire 30 minutes after. Cut parts and skeleton are hot "    \
    "and "                                                                                         \
    "sharp. A tipped part stops the torch: stop the table before you reach in. Try height, feed "  \
    "and hole size on a first piece; the table's manual and local codes come first."
#define CAUTION_PRESS                                                                              \
    "Press brake: hands clear of the point of bending and of pinches between part and ram, guard " \
    "in place, one person on the pedal. Depths are starting points, short on purpose: measure "    \
    "the "                                                                                         \
    "first piece, then correct. Never set more force than the press or the tool is rated for. "    \
    "The "                                                                                         \
    "press's manual and local codes come first. Collisions are reckoned from drawings of tools: "  \
    "try the first piece slowly."
#define CAUTION_PRESS_BED                                                                          \
    "THE BED COMES UP AND THE PART RISES WITH IT: keep fingers, knees and face out of its "        \
    "way. " CAUTION_PRESS
#define CAUTION_TUBE                                                                               \
    "Bender: keep clear of the swing of the tube and of clamp and die. Bend a trial piece first; " \
    "angles and marks are estimates until it is measured. The bender's manual comes first."
#define CAUTION_SAW                                                                                \
    "Saw: clamp every piece, never hold by hand, stop the blade before clearing. Long ends need "  \
    "a "                                                                                           \
    "stand. Ends are sharp and hot. The saw's manual comes first."
#define CAUTION_PACK                                                                               \
    "Lift with two people where it says so. Guard sharp edges and corners. Weigh the closed "      \
    "carton: masses here are computed, the scale decides."
#define CAUTION_WELD                                                                               \
    "Welding: shade, gloves and covered skin; draw fumes off, strip zinc first (its fume makes "   \
    "you "                                                                                         \
    "ill); nothing that burns within 35 ft, watch for fire 30 minutes after. Steel stays hot. "    \
    "Who "                                                                                         \
    "has not welded sheet before asks somebody who has; local codes and licensed practice come "   \
    "first. Check the contents before welding."
#define CAUTION_SHOP_PRESS                                                                         \
    "Shop press: guard in place, hands out while the ram moves, stand aside of what could fly. "   \
    "Never more force than press and die are rated for. The press's manual and local codes come "  \
    "first."
#define CAUTION_END_CUTS                                                                           \
    "Hole saws grab: clamp the tube in a fixture, slow speed, hands away, eye protection, no "     \
    "gloves near a turning spindle. Edges are sharp and hot. Try the fit on a scrap piece first; " \
    "the machine's manual comes first."
