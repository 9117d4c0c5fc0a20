// SPDX-License-Identifier: Apache-2.0
// The keys of shop.yaml that tell of the machines: plasma table, press brake, tube bender, saw.
// Defaults without a source are common practice.
#include "form/fields.h"
#include "shop/shop_check.h"

static const char *const unit_words[] = {"mm", "in", NULL};
static const char *const lead_words[] = {"line", "arc", NULL};
static const char *const between_words[] = {"not-cut", "in-proportion", NULL};
static const char *const arc_words[] = {"centre", "radius", NULL};
static const char *const number_words[] = {"short", "all-decimals", NULL};
static const char *const trace_words[] = {"none", "before-cutting", NULL};
static const char *const height_words[] = {"by-control", "by-program", NULL};
static const char *const share_words[] = {"never", "straight", NULL};
static const char *const name_words[] = {"any", "capitals", "digits", NULL};
static const char *const square_words[] = {"right", "left", NULL};
static const char *const cut_off_words[] = {"left-on", "cut-off", NULL};
static const char *const moves_words[] = {"ram", "bed", NULL};
static const char *const ways_words[] = {"one", "both", NULL};
static const char *const gauge_on_words[] = {"bed", "frame", NULL};
static const char *const rotation_words[] = {"by-hand", "by-machine", NULL};

static const struct kw_field cut_fields[] = {
    TEXT(kw_cut_entry, "from", from, REQUIRED, .example = "11 ga hot-rolled sheet",
         SAYS("The sheet that this row is for. Nothing is guessed between two rows unless "
              "`between_rows` says so.")),
    QUANTITY(kw_cut_entry, "kerf", kerf, LENGTH, REQUIRED, ABOVE_ZERO_TO(10),
             SAYS("Width of metal that the torch takes away.")),
    QUANTITY(kw_cut_entry, "feed", feed, SPEED, REQUIRED, ABOVE_ZERO_TO(1000),
             SAYS("Cutting speed.")),
    QUANTITY(kw_cut_entry, "pierce_delay", pierce_delay, TIME, .max = 20, REQUIRED,
             SAYS("How long the torch stands while it pierces.")),
    QUANTITY(kw_cut_entry, "pierce_height", pierce_height, LENGTH, REQUIRED, ABOVE_ZERO_TO(50),
             SAYS("Torch height while it pierces.")),
    QUANTITY(kw_cut_entry, "cut_height", cut_height, LENGTH, REQUIRED, ABOVE_ZERO_TO(50),
             SAYS("Torch height while it cuts.")),
    QUANTITY(kw_cut_entry, "lead_in", lead_in, LENGTH, .max = 100, REQUIRED,
             SAYS("Length of the way from the pierce to the outline.")),
    QUANTITY(kw_cut_entry, "least_hole", least_hole, LENGTH, .max = 500, DEFAULT("0 mm"),
             SAYS("Smallest hole that comes out round; 0 takes the largest of 1-1/2 thicknesses, 3 "
                  "kerfs and 3/16 in.")),
    QUANTITY(kw_cut_entry, "hole_feed", hole_feed, FRACTION, ABOVE_ZERO_TO(1), DEFAULT("60 %"),
             SAYS("Part of the cutting speed at which small holes are cut.")),
    QUANTITY(kw_cut_entry, "hole_feed_below", hole_feed_below, LENGTH, .max = 500, DEFAULT("1 in"),
             SAYS("Holes under this size are small: cut slower and with the torch height locked.")),
    QUANTITY(kw_cut_entry, "overburn", overburn, LENGTH, .max = 50, DEFAULT("0 mm"),
             SAYS("How far the torch runs on past the start of a hole, to leave no nib.")),
    WORD(kw_cut_entry, "lead_shape", lead_shape, lead_words, DEFAULT("line"),
         SAYS("Straight, or a quarter circle that runs into the outline.")),
    QUANTITY(kw_cut_entry, "corner_feed", corner_feed, FRACTION, ABOVE_ZERO_TO(1), DEFAULT("100 %"),
             SAYS("Part of the cutting speed near sharp corners.")),
    QUANTITY(
        kw_cut_entry, "zone", zone, LENGTH, ABOVE_ZERO_TO(100), DEFAULT("1/4 in"),
        SAYS("Length before and after a sharp corner, and before the end of a cut, where torch "
             "height is locked and `corner_feed` holds.")),
    QUANTITY(kw_cut_entry, "amps", amps, CURRENT, .max = 1000, DEFAULT("0"),
             SAYS("Current, for the sheet map.")),
    QUANTITY(kw_cut_entry, "cost_per_pierce", cost_per_pierce, MONEY, .max = 100, DEFAULT("0"),
             SAYS("Tips and electrodes used up by one pierce.")),
    COUNT(kw_cut_entry, "life", life, .max = 100000, DEFAULT("0"),
          SAYS("Pierces that a tip and electrode last, for the sheet map; 0: not known.")),
    {0},
};
static const struct kw_form cut_form = {"cut rule", "How one thickness of one material is cut.",
                                        sizeof(struct kw_cut_entry), cut_fields, kw_cut_check};

static const struct kw_field scribe_fields[] = {
    TEXT(kw_scribe, "down", down, REQUIRED, .example = "M7",
         SAYS("The line that sets the scribe on the sheet.")),
    TEXT(kw_scribe, "up", up, REQUIRED, .example = "M9", SAYS("The line that lifts it.")),
    QUANTITY(kw_scribe, "delay", delay, TIME, .max = 60, DEFAULT("0.2 s"),
             SAYS("Time that it takes to come down.")),
    QUANTITY(kw_scribe, "feed", feed, SPEED, REQUIRED, ABOVE_ZERO_TO(1000),
             SAYS("Speed at which it etches.")),
    QUANTITY(kw_scribe, "to_right", to_right, LENGTH, .min = -1000, .max = 1000, DEFAULT("0 mm"),
             SAYS("From the middle of the torch to the point of the scribe, to the right.")),
    QUANTITY(kw_scribe, "to_back", to_back, LENGTH, .min = -1000, .max = 1000, DEFAULT("0 mm"),
             SAYS("The same, to the back.")),
    {0},
};
static const struct kw_form scribe_form = {
    "scribe", "A point beside the torch that etches lines and names, at travel height.",
    sizeof(struct kw_scribe), scribe_fields, kw_scribe_check};

static const struct kw_field controller_fields[] = {
    TEXT(kw_controller, "name", name, DEFAULT("plain RS-274"),
         SAYS("What people call the control, for the papers.")),
    WORD(kw_controller, "units", units, unit_words, DEFAULT("mm"),
         SAYS("Unit of the numbers in programs.")),
    COUNT(kw_controller, "decimals", decimals, .min = 2, .max = 6, DEFAULT("3"),
          SAYS("Digits after the point in programs.")),
    COUNT(kw_controller, "line_numbers", line_numbers, .max = 1000, DEFAULT("0"),
          SAYS("Step of the line numbers; 0 writes none.")),
    TEXT(kw_controller, "torch_on", torch_on, DEFAULT("M3"),
         SAYS("The line that lights the torch.")),
    TEXT(kw_controller, "torch_off", torch_off, DEFAULT("M5"), SAYS("The line that puts it out.")),
    TEXTS(kw_controller, "header", header, .example = "G64",
          SAYS("Lines after the program's own start, such as the work offset.")),
    TEXTS(kw_controller, "footer", footer, .example = "G53 G0 Z0",
          SAYS("Lines before the program's end.")),
    TEXTS(kw_controller, "at_pierce", at_pierce, .example = "M190",
          SAYS("Lines before each pierce, such as probing for the sheet.")),
    TEXT(kw_controller, "lock", lock, DEFAULT(""), .example = "M50 P0",
         SAYS("The line that locks torch height; empty when the control has none.")),
    TEXT(kw_controller, "unlock", unlock, DEFAULT(""), .example = "M50 P1",
         SAYS("The line that frees torch height again.")),
    TEXT(kw_controller, "stop", stop, DEFAULT("M1"),
         SAYS("The line at which the table stops so that parts can be pulled.")),
    WORD(kw_controller, "arcs", arcs_by_radius, arc_words, DEFAULT("centre"),
         SAYS("Arcs by their centre (I, J) or by their radius (R, at most a quarter turn each).")),
    WORD(kw_controller, "numbers", all_decimals, number_words, DEFAULT("short"),
         SAYS("Whether zeros at the end of a number are left out.")),
    WORD(kw_controller, "trace", trace, trace_words, DEFAULT("none"),
         SAYS("Torch off along the sheet's lower edge and round the nest before the first cut.")),
    WORD(kw_controller, "height", height_by_program, height_words, DEFAULT("by-control"),
         SAYS("Whether programs move the torch up and down.")),
    QUANTITY(kw_controller, "travel_height", travel_height, LENGTH, ABOVE_ZERO_TO(500),
             DEFAULT("2 in"), SAYS("Torch height on travels, when programs move it.")),
    COUNT(kw_controller, "longest_name", longest_name, .min = 4, .max = 200, DEFAULT("32"),
          SAYS("Most characters in the name of a program; longer ones are shortened.")),
    WORD(kw_controller, "name_letters", name_letters, name_words, DEFAULT("any"),
         SAYS("What names of programs are made of: letters, digits, - and _; capitals and digits; "
              "digits.")),
    FORM(kw_controller, "scribe", scribe, scribe_form,
         SAYS("The scribe, where the table has one: `marking: { way: etch }` needs it.")),
    {0},
};
static const struct kw_form controller_form = {
    "controller", "How programs for the plasma table are written.", sizeof(struct kw_controller),
    controller_fields, NULL};

static const struct kw_field clamp_fields[] = {
    QUANTITY(kw_clamp, "from_left", from_left, LENGTH, REQUIRED, .max = 25000,
             SAYS("From the origin corner along the sheet.")),
    QUANTITY(kw_clamp, "from_front", from_front, LENGTH, REQUIRED, .max = 25000,
             SAYS("From the origin corner across the sheet.")),
    QUANTITY(kw_clamp, "long", length, LENGTH, REQUIRED, ABOVE_ZERO_TO(25000),
             SAYS("Size along the sheet.")),
    QUANTITY(kw_clamp, "wide", width, LENGTH, REQUIRED, ABOVE_ZERO_TO(25000),
             SAYS("Size across the sheet.")),
    {0},
};
const struct kw_form kw_clamp_form = {"place to keep out of",
                                      "A rectangle where no part lies and nothing is pierced.",
                                      sizeof(struct kw_clamp), clamp_fields, NULL};

static const struct kw_field table_fields[] = {
    QUANTITY(kw_table, "long", length, LENGTH, REQUIRED, ABOVE_ZERO_TO(25000),
             SAYS("Longest sheet that fits.")),
    QUANTITY(kw_table, "wide", width, LENGTH, REQUIRED, ABOVE_ZERO_TO(5000),
             SAYS("Widest sheet that fits.")),
    QUANTITY(kw_table, "spacing", spacing, LENGTH, .max = 200, DEFAULT("1/4 in"),
             SAYS("Least metal left between two finished parts.")),
    QUANTITY(kw_table, "margin", margin, LENGTH, .max = 500, DEFAULT("3/8 in"),
             SAYS("Least metal left between a finished part and the edge of the sheet.")),
    QUANTITY(kw_table, "rapid", rapid, SPEED, ABOVE_ZERO_TO(5000), DEFAULT("400 in/min"),
             SAYS("Speed between cuts.")),
    QUANTITY(kw_table, "most_feed", most_feed, SPEED, .max = 5000, DEFAULT("0 mm/s"),
             SAYS("Fastest that the table cuts; a cut rule above it is a stop. 0: not known.")),
    QUANTITY(kw_table, "acceleration", acceleration, ACCELERATION, ABOVE_ZERO_TO(100000),
             DEFAULT("800 mm/s2"),
             SAYS("How quickly the table gets up to speed; cutting time follows from it.")),
    QUANTITY(kw_table, "setup", setup, TIME, .max = 36000, DEFAULT("6 min"),
             SAYS("Time to load, square up and unload one sheet.")),
    QUANTITY(kw_table, "prove", prove, TIME, .max = 36000, DEFAULT("0 min"),
             SAYS("Time that a new program takes before it can be trusted: load, run dry, look at "
                  "the first sheet. Nests weigh it, at the rates of labour and table, against "
                  "steel: fewer programs, each cut more often.")),
    QUANTITY(kw_table, "nick", nick, LENGTH, .max = 10, DEFAULT("1/16 in"),
             SAYS("Length of the nicks that mark the ends of a bend line; 0 cuts none.")),
    QUANTITY(kw_table, "corner_speed", corner_speed, SPEED, ABOVE_ZERO_TO(1000), DEFAULT("10 mm/s"),
             SAYS("Speed through a square corner; cutting time follows from it.")),
    QUANTITY(kw_table, "height_finding", height_finding, TIME, .max = 60, DEFAULT("0 s"),
             SAYS("Time to find the sheet before each pierce.")),
    QUANTITY(
        kw_table, "slats", slats, LENGTH, .max = 1000, DEFAULT("0 mm"),
        SAYS("From slat to slat. Parts of less than two can tip: they get holding tabs, or the "
             "program stops before the torch travels over them. 0: nothing tips.")),
    QUANTITY(kw_table, "tab_width", tab_width, LENGTH, .max = 20, DEFAULT("0 mm"),
             SAYS("Metal in each holding tab of parts that can tip; 0 leaves none. In 16 to 11 ga "
                  "1/16 to 3/32 in.")),
    QUANTITY(
        kw_table, "tabs_up_to", tabs_up_to, LENGTH, .max = 100, DEFAULT("1/8 in"),
        SAYS("Thickest sheet whose parts are held by tabs; in thicker sheet the table stops so "
             "that parts that tip are pulled.")),
    QUANTITY(kw_table, "tab_every", tab_every, LENGTH, ABOVE_ZERO_TO(5000), DEFAULT("8 in"),
             SAYS("Edge for each holding tab.")),
    QUANTITY(kw_table, "heat_gap", heat_gap, LENGTH, .max = 5000, DEFAULT("0 mm"),
             SAYS("After three parts nearer to each other than this the torch goes elsewhere; 0 "
                  "takes the shortest travel.")),
    QUANTITY(kw_table, "skeleton", skeleton, LENGTH, .max = 5000, DEFAULT("0 mm"),
             SAYS("Distance between cuts through what is left of the sheet; 0 leaves it whole.")),
    WORD(kw_table, "square_side", square_side, square_words, DEFAULT("right"),
         SAYS("The side of the torch, looking the way it goes, on which the cut comes out square: "
              "outsides are cut clockwise and holes counter-clockwise for right.")),
    WORD(kw_table, "shared_cuts", shared_cuts, share_words, DEFAULT("never"),
         SAYS("Whether parts that lie side by side with equal straight edges are moved together to "
              "one kerf and share the cut between them. Not edges that matter, nor parts with "
              "tabs.")),
    WORD(kw_table, "drop", cut_off, cut_off_words, DEFAULT("left-on"),
         SAYS("Whether the program cuts the drop off.")),
    WORD(kw_table, "between_rows", between_rows, between_words, DEFAULT("not-cut"),
         SAYS("A sheet between two rows of its material: not cut, or cut by values in proportion. "
              "Never beyond the rows.")),
    FORMS(kw_table, "clamps", clamps, kw_clamp_form,
          SAYS("Places where clamps hold the sheet: no part lies there and nothing is pierced.")),
    FORM(kw_table, "controller", controller, controller_form, SAYS("How programs are written.")),
    FORMS(kw_table, "cut_rules", rules, cut_form, REQUIRED,
          SAYS("One row for each sheet that is cut.")),
    {0},
};
const struct kw_form kw_table_form = {"plasma table", "The table that cuts sheet.",
                                      sizeof(struct kw_table), table_fields, NULL};

static const struct kw_field point_fields[] = {
    QUANTITY(kw_profile_point, "over", x, LENGTH, .min = -1000, .max = 1000, REQUIRED,
             SAYS("Towards the gauge from the middle.")),
    QUANTITY(kw_profile_point, "up", y, LENGTH, .min = -1000, .max = 1000, REQUIRED,
             SAYS("Up from a die's top face or a punch's tip.")),
    QUANTITY(kw_profile_point, "radius", radius, LENGTH, .max = 500, DEFAULT("0 mm"),
             SAYS("Rounding of the corner here.")),
    {0},
};
static const struct kw_form point_form = {"profile point", "A corner of a tool's section.",
                                          sizeof(struct kw_profile_point), point_fields, NULL};

static const struct kw_field die_fields[] = {
    QUANTITY(kw_press_tool, "opening", opening, LENGTH, REQUIRED, ABOVE_ZERO_TO(500),
             SAYS("Opening of the V.")),
    QUANTITY(kw_press_tool, "angle", angle, ANGLE, ABOVE_ZERO_TO(KW_PI), DEFAULT("85 deg"),
             SAYS("Angle between the two sides of the V.")),
    QUANTITY(kw_press_tool, "radius", radius, LENGTH, .max = 100, DEFAULT("1/16 in"),
             SAYS("Radius of the two shoulders.")),
    QUANTITY(kw_press_tool, "height", height, LENGTH, REQUIRED, ABOVE_ZERO_TO(1000),
             SAYS("Height from the bed to the top face.")),
    QUANTITY(kw_press_tool, "length", length, LENGTH, REQUIRED, ABOVE_ZERO_TO(10000),
             SAYS("Length of the whole tool.")),
    QUANTITY(kw_press_tool, "rating", rating, FORCE_PER_LENGTH, REQUIRED, ABOVE_ZERO,
             SAYS("Most force on each length of the tool, as stamped on it.")),
    QUANTITY(kw_press_tool, "width", width, LENGTH, .max = 1000, DEFAULT("0 mm"),
             SAYS("Width of the die's body; 0 takes what opening and walls need.")),
    QUANTITIES(kw_press_tool, "segments", segments, LENGTH, ABOVE_ZERO_TO(10000),
               SAYS("Lengths of the pieces on the shelf, for bends between side flanges; none: one "
                    "piece of the whole length.")),
    FORMS(
        kw_press_tool, "profile", profile, point_form,
        SAYS("The section, corner by corner, for a die that is no plain V; the V's middle at over "
             "0, the top face at up 0.")),
    {0},
};
static const struct kw_form die_form = {
    "die", "A V die of the press brake. Its name is its shelf number.",
    sizeof(struct kw_press_tool), die_fields, kw_press_tool_check};

static const struct kw_field punch_fields[] = {
    QUANTITY(kw_press_tool, "angle", angle, ANGLE, ABOVE_ZERO_TO(KW_PI), DEFAULT("85 deg"),
             SAYS("Angle of the punch.")),
    QUANTITY(kw_press_tool, "radius", radius, LENGTH, REQUIRED, .max = 500,
             SAYS("Radius of the nose.")),
    QUANTITY(kw_press_tool, "height", height, LENGTH, REQUIRED, ABOVE_ZERO_TO(1000),
             SAYS("Height from the ram to the tip.")),
    QUANTITY(kw_press_tool, "length", length, LENGTH, REQUIRED, ABOVE_ZERO_TO(10000),
             SAYS("Length of the whole tool.")),
    QUANTITY(kw_press_tool, "rating", rating, FORCE_PER_LENGTH, REQUIRED, ABOVE_ZERO,
             SAYS("Most force on each length of the tool, as stamped on it.")),
    QUANTITY(kw_press_tool, "neck", neck, LENGTH, .max = 300, DEFAULT("0 mm"),
             SAYS("How far a gooseneck's body stands back from the front; 0 for a straight "
                  "punch.")),
    WORD(kw_press_tool, "ways", ways, ways_words, DEFAULT("one"),
         SAYS("Whether the ram takes it one way only, a gooseneck's throat to the front, or both "
              "ways: turned round with the throat to the gauge.")),
    QUANTITIES(kw_press_tool, "segments", segments, LENGTH, ABOVE_ZERO_TO(10000),
               SAYS("Lengths of the pieces on the shelf, for bends between side flanges; none: one "
                    "piece of the whole length.")),
    FORMS(kw_press_tool, "profile", profile, point_form,
          SAYS("The section, corner by corner, when it is neither straight nor a plain gooseneck; "
               "the tip at over 0, up 0.")),
    {0},
};
static const struct kw_form punch_form = {
    "punch", "A punch of the press brake. Its name is its shelf number.",
    sizeof(struct kw_press_tool), punch_fields, kw_press_tool_check};

static const struct kw_field hemming_fields[] = {
    QUANTITY(kw_press_tool, "width", width, LENGTH, REQUIRED, ABOVE_ZERO_TO(1000),
             SAYS("Of the two flats, front to back.")),
    QUANTITY(kw_press_tool, "lower", height, LENGTH, REQUIRED, ABOVE_ZERO_TO(1000),
             SAYS("Height of the lower flat from the bed.")),
    QUANTITY(kw_press_tool, "upper", upper, LENGTH, REQUIRED, ABOVE_ZERO_TO(1000),
             SAYS("Height of the upper flat from the ram down.")),
    QUANTITY(kw_press_tool, "length", length, LENGTH, REQUIRED, ABOVE_ZERO_TO(10000),
             SAYS("Length of the whole tool.")),
    QUANTITY(kw_press_tool, "rating", rating, FORCE_PER_LENGTH, REQUIRED, ABOVE_ZERO,
             SAYS("Most force on each length of the tool, as stamped on it.")),
    QUANTITIES(kw_press_tool, "segments", segments, LENGTH, ABOVE_ZERO_TO(10000),
               SAYS("Lengths of the pieces on the shelf; none: one piece of the whole length.")),
    {0},
};
static const struct kw_form hemming_form = {
    "hemming tool",
    "Two flats that press a hem down after its first bend over a sharp die. Its name is its shelf "
    "number.",
    sizeof(struct kw_press_tool), hemming_fields, NULL};

static const struct kw_field press_fields[] = {
    QUANTITY(kw_press, "rating", rating, FORCE, REQUIRED, ABOVE_ZERO,
             SAYS("Most force of the press.")),
    QUANTITY(kw_press, "bed", bed, LENGTH, REQUIRED, ABOVE_ZERO_TO(12500),
             SAYS("Length of the bed.")),
    QUANTITY(kw_press, "between_frames", between_frames, LENGTH, REQUIRED, ABOVE_ZERO_TO(12500),
             SAYS("Width that passes between the side frames.")),
    QUANTITY(
        kw_press, "throat", throat, LENGTH, .max = 5000, DEFAULT("0 mm"),
        SAYS("Depth from the bend to the side frames, for parts wider than the way between them.")),
    QUANTITY(kw_press, "open_height", open_height, LENGTH, REQUIRED, ABOVE_ZERO_TO(3000),
             SAYS("Bed to ram with the ram up and no tools in.")),
    QUANTITY(kw_press, "stroke", stroke, LENGTH, REQUIRED, ABOVE_ZERO_TO(2000),
             SAYS("Way of the ram, or of the bed.")),
    QUANTITY(kw_press, "gauge_least", gauge_least, LENGTH, .max = 5000, DEFAULT("0 mm"),
             SAYS("Nearest that the back gauge comes to the bend line.")),
    QUANTITY(kw_press, "gauge_most", gauge_most, LENGTH, .max = 5000, DEFAULT("0 mm"),
             SAYS("Farthest that the back gauge goes; 0 for a press without a gauge.")),
    QUANTITY(kw_press, "one_person", one_person, MASS, ABOVE_ZERO_TO(200), DEFAULT("50 lb"),
             SAYS("Heaviest part that one person lifts; above it the papers say two people.")),
    QUANTITY(kw_press, "gauge_low", gauge_low, LENGTH, .min = -500, .max = 500, DEFAULT("-25 mm"),
             SAYS("Lowest place of the gauge's fingers, from the die's top.")),
    QUANTITY(kw_press, "gauge_high", gauge_high, LENGTH, .min = -500, .max = 1000,
             DEFAULT("150 mm"), SAYS("Highest place of the gauge's fingers.")),
    QUANTITY(kw_press, "finger_width", finger_width, LENGTH, ABOVE_ZERO_TO(500), DEFAULT("1 in"),
             SAYS("Width of one finger of the gauge along the bend.")),
    QUANTITY(kw_press, "finger_height", finger_height, LENGTH, ABOVE_ZERO_TO(200),
             DEFAULT("3/8 in"), SAYS("Height of a finger where the part rests on it.")),
    QUANTITY(kw_press, "finger_depth", finger_depth, LENGTH, ABOVE_ZERO_TO(1000), DEFAULT("60 mm"),
             SAYS("Of a finger, front to back, at that height.")),
    QUANTITY(kw_press, "fingers_least", fingers_least, LENGTH, .max = 5000, DEFAULT("0 mm"),
             SAYS("Nearest that two fingers come, centre to centre; 0: side by side.")),
    QUANTITY(kw_press, "fingers_most", fingers_most, LENGTH, .max = 12500, DEFAULT("0 mm"),
             SAYS("Farthest that two fingers go apart, centre to centre; 0: as far as the bed.")),
    QUANTITY(kw_press, "hold_clear", hold_clear, LENGTH, ABOVE_ZERO_TO(1000), DEFAULT("2 in"),
             SAYS("How far before the die's front face a hand must be able to hold the part. Many "
                  "codes ask for more.")),
    WORD(kw_press, "moves", bed_moves, moves_words, DEFAULT("ram"),
         SAYS("What moves: the ram down, or the bed up with the part on it.")),
    WORD(kw_press, "gauge_on", gauge_on, gauge_on_words, DEFAULT("bed"),
         SAYS("What the back gauge stands on where the bed comes up: the bed and rises with it, or "
              "the frame, past which the die then rises.")),
    QUANTITY(kw_press, "ram_width", ram_width, LENGTH, ABOVE_ZERO_TO(1000), DEFAULT("60 mm"),
             SAYS("Front to back, of what holds the punch.")),
    QUANTITY(kw_press, "bed_width", bed_width, LENGTH, ABOVE_ZERO_TO(1000), DEFAULT("80 mm"),
             SAYS("Front to back, of what carries the die.")),
    QUANTITY(kw_press, "turn_over", turn_over, TIME, .max = 3600, DEFAULT("8 s"),
             SAYS("Time to turn a part over.")),
    QUANTITY(kw_press, "rotate", rotate, TIME, .max = 3600, DEFAULT("4 s"),
             SAYS("Time to bring another edge to the gauge.")),
    QUANTITY(kw_press, "tool_change", tool_change, TIME, .max = 36000, DEFAULT("5 min"),
             SAYS("Time to change a punch or die.")),
    QUANTITY(kw_press, "station_change", station_change, TIME, .max = 3600, DEFAULT("5 s"),
             SAYS("Time to go to tools of another length.")),
    QUANTITY(kw_press, "gauge_move", gauge_move, TIME, .max = 3600, DEFAULT("10 s"),
             SAYS("Time to move the gauge to another distance.")),
    QUANTITY(kw_press, "gauge_height", gauge_height, TIME, .max = 3600, DEFAULT("30 s"),
             SAYS("Time to set the gauge's fingers to another height.")),
    QUANTITY(kw_press, "setup", setup, TIME, .max = 36000, DEFAULT("15 min"),
             SAYS("Time to set up one part.")),
    QUANTITY(kw_press, "per_bend", per_bend, TIME, .max = 3600, DEFAULT("20 s"),
             SAYS("Time for one bend.")),
    NAMED(kw_press, "dies", dies, die_form, REQUIRED, SAYS("The V dies by shelf number.")),
    NAMED(kw_press, "punches", punches, punch_form, REQUIRED, SAYS("The punches by shelf number.")),
    NAMED(kw_press, "hemming", hemming, hemming_form,
          SAYS("The tools that flatten hems, by shelf number.")),
    {0},
};
const struct kw_form kw_press_form = {"press brake", "The press that folds sheet, and its tools.",
                                      sizeof(struct kw_press), press_fields, kw_press_check};

static const struct kw_field tube_die_fields[] = {
    QUANTITY(kw_bender_die, "od", od, LENGTH, REQUIRED, ABOVE_ZERO_TO(300),
             SAYS("Outside diameter of the tube.")),
    QUANTITY(kw_bender_die, "radius", radius, LENGTH, REQUIRED, ABOVE_ZERO_TO(3000),
             SAYS("Bend radius to the centreline of the tube.")),
    QUANTITY(kw_bender_die, "most_angle", most_angle, ANGLE, ABOVE_ZERO, DEFAULT("180 deg"),
             SAYS("Largest turn that the die makes in one bend.")),
    QUANTITY(kw_bender_die, "clamp", clamp, LENGTH, REQUIRED, .max = 2000,
             SAYS("Straight tube that the clamp needs after the bend before.")),
    QUANTITY(kw_bender_die, "lead", lead, LENGTH, .max = 2000, DEFAULT("0 mm"),
             SAYS("Straight tube needed behind the bend, for the follower.")),
    {0},
};
static const struct kw_form tube_die_form = {
    "tube die", "A die of the tube bender. Its name is its shelf number.",
    sizeof(struct kw_bender_die), tube_die_fields, kw_bender_die_check};

static const struct kw_field body_fields[] = {
    QUANTITIES(
        kw_bender_body, "ahead", ahead, LENGTH, .min = -KW_MOST_MM, .max = KW_MOST_MM, REQUIRED,
        .example = "[-24, 6]",
        SAYS("From where to where, along the stick; ahead of where bends begin is above 0.")),
    QUANTITIES(
        kw_bender_body, "side", side, LENGTH, .min = -KW_MOST_MM, .max = KW_MOST_MM, REQUIRED,
        .example = "[2, 16]",
        SAYS("From where to where, across the stick; the side the die stands on is above 0.")),
    QUANTITIES(kw_bender_body, "up", up, LENGTH, .min = -KW_MOST_MM, .max = KW_MOST_MM, REQUIRED,
               .example = "[-36, -3]",
               SAYS("From where to where, up and down; above the stick's centreline is above 0.")),
    {0},
};
static const struct kw_form body_form = {
    "bender body", "A box that stands at the bender and that a swinging tube must clear.",
    sizeof(struct kw_bender_body), body_fields, kw_bender_body_check};

static const struct kw_field bender_fields[] = {
    QUANTITY(kw_bender, "most_wall", most_wall, LENGTH, REQUIRED, ABOVE_ZERO_TO(50),
             SAYS("Thickest wall that the bender bends.")),
    WORD(kw_bender, "rotation", turns_by_itself, rotation_words, DEFAULT("by-hand"),
         SAYS("Who turns the tube between two bends.")),
    QUANTITY(kw_bender, "springback", springback, NUMBER, .min = 1, .max = 1.5,
             SAYS("Angle to set over angle wanted; without it, from the material's yield "
                  "and stiffness.")),
    QUANTITY(kw_bender, "floor", floor, LENGTH, .max = 5000,
             SAYS("Height of the stick's centreline over the floor; without it, the floor is not "
                  "looked at.")),
    NAMED(kw_bender, "bodies", bodies, body_form,
          SAYS("What a swinging tube must clear, as boxes by name.")),
    QUANTITY(kw_bender, "setup", setup, TIME, .max = 36000, DEFAULT("15 min"),
             SAYS("Time to change the die.")),
    QUANTITY(kw_bender, "per_bend", per_bend, TIME, .max = 3600, DEFAULT("45 s"),
             SAYS("Time for one bend.")),
    NAMED(kw_bender, "dies", dies, tube_die_form, REQUIRED, SAYS("The dies by shelf number.")),
    {0},
};
const struct kw_form kw_bender_form = {"tube bender",
                                       "The rotary-draw bender, used without a mandrel.",
                                       sizeof(struct kw_bender), bender_fields, NULL};

static const struct kw_field saw_fields[] = {
    QUANTITY(kw_saw, "kerf", kerf, LENGTH, REQUIRED, ABOVE_ZERO_TO(20),
             SAYS("Width of the blade's cut.")),
    QUANTITY(kw_saw, "trim", trim, LENGTH, .max = 500, DEFAULT("1/4 in"),
             SAYS("What is cut off the end of a new stick to square it.")),
    QUANTITY(kw_saw, "hold", hold, LENGTH, .max = 1000, DEFAULT("5 in"),
             SAYS("What the vise needs of the stick to cut the last piece.")),
    QUANTITY(kw_saw, "setup", setup, TIME, .max = 36000, DEFAULT("5 min"),
             SAYS("Time to set a stop or an angle.")),
    QUANTITY(kw_saw, "per_cut", per_cut, TIME, .max = 3600, DEFAULT("40 s"),
             SAYS("Time for one cut.")),
    COUNT(kw_saw, "bundle", bundle, .min = 1, .max = 100, DEFAULT("4"),
          SAYS("Sticks that the vise holds at once: those that are cut alike go in as a bundle.")),
    QUANTITY(kw_saw, "keep", keep, LENGTH, .max = 20000, DEFAULT("24 in"),
             SAYS("Shortest leftover that goes back to the rack.")),
    QUANTITY(kw_saw, "keep_worth", keep_worth, FRACTION, DEFAULT("100 %"),
             SAYS("What a kept leftover is worth, of what its length cost: the rest is for storing "
                  "and finding it. Orders pay for it.")),
    {0},
};
const struct kw_form kw_saw_form = {"saw", "The saw for tube, bar and rod.", sizeof(struct kw_saw),
                                    saw_fields, NULL};
