"""No limit and no constant from outside stands in the code: they stand in the tables, with source and standing.

Every number written in the packages that judge, read, keep or show is looked at. Free are the numbers that only count,
halve, index or shift a decimal point, and those written in hexadecimal or octal (characters, file modes). Any other
must be a named constant of its module, listed here with the reason why it is not a value from outside.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parent.parent.parent / "src" / "coldpin"
SCANNED = (
    *(
        "capture",
        "casefile",
        "checks",
        "cli",
        "conclusion",
        "copper",
        "insulation",
        "pilot",
        "protection",
        "report",
        "session",
        "web",
    ),
    "workbench",
)
FREE = {0, 0.5, 1, 2, 100} | {10**n for n in range(1, 13)} | {10.0**-n for n in range(1, 13)}
FREE_COUNTS = {3, 4}
"""Free as whole numbers, which count; 3.0 could be a level."""
ROUNDING = ("round", "range")
ROOT = "sqrt"
"""The root of three is that of three phases, or of a rectangular distribution."""
SOURCED = ("Bearing",)
"""Records whose numbers stand beside a source of their own, which the report prints."""
PROGRESS = ("tell", "progress")
BENCH_WORK = ("minutes", "repeats", "digest_size")
DRAWN = ("report", "web")
ON_PAPER = Path("report/figures")
"""Where lines are drawn in millimetres: geometry throughout. What the lines mean comes in records from elsewhere."""

OURS = (
    "a choice of ours in recognising what a recording is; no outcome is judged by it, and the code says why beside it"
)
CONSTANTS: dict[str, tuple[str, ...]] = {
    "an example in the comments of a new file; nothing reads it": ("casefile/description.py:_EXAMPLES",),
    "how much is read, kept, compared or printed at most; it bounds work and paper, it judges nothing": (
        "checks/use_currents.py:TRIED",
        "workbench/wave_marks.py:MAINS_CYCLE",
        "workbench/wave_marks.py:TOLD",
        "workbench/wave_marks.py:NAMED",
        "conclusion/statement.py:MOST_NAMED",
        "report/chapters/uses.py:MOST_BOUNDS",
        "report/chapters/sayings.py:MOST_MORE",
        "casefile/archive.py:LONGEST_NAME",
        "workbench/cases.py:LONGEST_NAME",
        "workbench/bundling.py:_LONGEST_NAME",
        "workbench/public_files.py:_LONGEST_FOUND",
        "workbench/recomputed.py:MOST_SHOWN",
        "workbench/recomputed.py:_LONGEST",
        "capture/bare_picture.py:QUALITY",
        "report/notification.py:MOST_FACTS",
        "capture/bare_picture.py:_LONGEST_HEAD",
        "cli/__init__.py:LOOKED_THROUGH_EVERY",
        "casefile/pieces.py:LARGEST",
        "web/__init__.py:FAREWELL",
        "web/app.py:FORMS",
        "web/desk.py:KEPT",
        "web/pages/charge.py:MOST_STRETCHES",
        "web/figure.py:KEPT",
        "web/pages/sources.py:KEPT",
        "web/pages/sources.py:MOST",
        "web/trust.py:LONGEST_LENGTH",
        "web/trust.py:SILENCE",
        "web/works.py:COURTESY",
        "web/works.py:KEPT",
        "web/filing.py:KEPT",
        "web/pages/evidence.py:RECENT",
        "web/filed.py:SMALLS",
        "capture/thumbnail.py:LONGEST_SIDE",
        "capture/thumbnail.py:QUALITY",
        "web/receiving.py:MOST_FIELDS",
        "web/receiving.py:MOST_FILES",
        "workbench/entry_form.py:ASKED_FIRST",
        "casefile/arrivals.py:_LONGEST_NAME",
        "casefile/arrivals.py:TOKEN_BYTES",
        "capture/first_look.py:SHOWN_ROWS",
        "capture/first_look.py:LONGEST_ROW",
        "capture/first_look.py:HEAD",
        "capture/first_look.py:SHOWN_BYTES",
        "web/pages/plan.py:KEPT",
        "web/pages/report.py:PAGE_PX",
        "web/pages/report.py:SMALL_PX",
        "report/_typst.py:FORGOTTEN",
        "web/reporting.py:PICTURES",
        "web/pages/bundle_check.py:KEPT",
        "workbench/bundling.py:_RANDOM",
        "web/pages/plan.py:PATIENT",
        "workbench/judging_words.py:AROUND",
        "workbench/publishing.py:SHARE",
        "workbench/ticking.py:_DIGEST",
        "workbench/beside.py:PATIENCE",
        "cli/comparison_table.py:_BESIDE",
        "report/comparison.py:_BESIDE",
        "cli/next_test_table.py:SHOWN",
        "workbench/board_pictures.py:_HIGHEST_PX",
        "workbench/residual_evidence.py:AROUND",
        "workbench/residual_evidence.py:STRETCHES",
        "workbench/injury.py:REMEMBERED",
        "workbench/board_pictures.py:_QUALITY",
        "workbench/other_faces.py:PIECES",
        "workbench/other_faces.py:QUALITY",
        "workbench/board_pictures.py:_SHOWN_QUALITY",
        "workbench/board_pictures.py:_WIDEST_PX",
        "workbench/drawing_sheets.py:MARGIN",
        "insulation/drawn_ways.py:ROUND_SEGMENTS",
        "insulation/region_growing.py:CLEAR_PX",
        "insulation/region_growing.py:FIRST_PART_PX",
        "web/pages/board.py:SMALL_PX",
        "capture/board_feature.py:_NEAR",
        "capture/board_file.py:MOST_CORNERS",
        "capture/board_other_face.py:MOST_MARKS",
        "capture/board_file.py:MOST_FEATURES",
        "capture/board_file.py:_LISTED",
        "capture/board_overlaps.py:_BATCH",
        "capture/board_place.py:LONGEST_TEXT",
        "capture/board_place.py:_SHOWN",
        "capture/log.py:_HEAD",
        "workbench/boards.py:MOST_NEXT",
        "capture/log_columns.py:_LISTED",
        "capture/registry.py:_HEAD",
        "copper/current_map.py:COLUMNS",
        "copper/lead_heat.py:LOOKED_AT",
        "copper/lead_heat.py:MOST_TIMES",
        "copper/heating_curve.py:FARTHEST",
        "copper/heating_curve.py:_NODES",
        "copper/heating_curve.py:_QUANTILES",
        "copper/heating_curve.py:_DRAWS",
        "copper/conductor.py:REMEMBERED",
        "copper/heating_curve.py:REMEMBERED",
        "insulation/calibration.py:REMEMBERED",
        "copper/heating_grid.py:PLACES_AT_ONCE",
        "copper/heating_grid.py:NODES",
        "copper/heating_grid.py:ROUNDS",
        "copper/heating_grid.py:SHRINKS",
        "copper/heating_grid.py:ZOOM",
        "copper/heating_grid.py:NEGLIGIBLE",
        "copper/heating_rows.py:BLOCKS",
        "copper/least_squares.py:TOLERANCE",
        "copper/temperature_rise.py:DRAWN",
        "copper/temperature_rise.py:REMEMBERED",
        "copper/temperature_rise.py:DRAWN_BEYOND",
        "copper/metal.py:OUTLINE",
        "copper/metal_posterior.py:NODES",
        "copper/metal_posterior.py:_BINS",
        "copper/rated.py:_PASSES",
        "copper/settling.py:OUTCOMES",
        "copper/steady.py:STEPS",
        "capture/table.py:_SOME_BYTES",
        "capture/table.py:_SOME_ROWS",
        "casefile/acceptance.py:LONGEST_TEXT",
        "casefile/case.py:LEFTOVER_AGE",
        "casefile/evidence.py:HASH_LETTERS",
        "casefile/evidence.py:_LONGEST_STEM",
        "casefile/evidence.py:_LONGEST_SUFFIX",
        "casefile/publish.py:_TELLING",
        "pilot/edges.py:BATCHES",
        "pilot/edges.py:BATCH_CYCLES",
        "pilot/edges.py:MOST_CYCLES",
        "pilot/glitches.py:LISTED",
        "pilot/one_cycle.py:AROUND",
        "pilot/picture.py:AROUND_GLITCH",
        "pilot/picture.py:DRAWN_CYCLES",
        "pilot/picture.py:LEAST_NEAR",
        "pilot/picture.py:NEAR_GLITCH",
        "pilot/mains_sine.py:FITTED_SAMPLES",
        "pilot/mains_output.py:FITTED_PERIODS",
        "pilot/mains_output.py:_BLOCK_SAMPLES",
        "pilot/mains_sine.py:_PASSED",
        "pilot/mains_sine.py:_TRIED",
        "pilot/picture.py:STRETCHES",
        "pilot/reading.py:EXACT_RUNS",
        "pilot/vehicle_simulator.py:LEVEL_DRAWS",
        "pilot/stream/counts.py:FRACTION_BITS",
        "pilot/stream/engine.py:WORTH",
        "pilot/stream/engine.py:WORTH_COMPILING",
        "pilot/stream/_kernel_levels.py:GAP_SHRINKS",
        "pilot/stream/_kernel_sums.py:COLUMNS",
        "pilot/stream/_kernel_sums.py:HEAD",
        "pilot/stream/_kernel_sums.py:MOST",
        "pilot/stream/_kernel_sums.py:SIDES",
        "pilot/stream/sums.py:COARSE_BITS",
        "report/chapters/captures.py:RUNS_PRINTED",
        "session/compression.py:BLOCK",
        "session/trace.py:STRETCHES",
    ),
    "how computers write things: an encoding, an exit code, the start of their calendar, the precision of a float": (
        "casefile/archive.py:_DIGITS",
        "casefile/archive.py:_FIRST_DATE",
        "casefile/archive.py:_MODE_SHIFT",
        "casefile/camera_marks.py:_ENTRY",
        "casefile/camera_marks.py:_CHUNK_FRAME",
        "casefile/camera_marks.py:_JFIF_WITHOUT_PICTURE",
        "workbench/board_pictures.py:_PALE",
        "workbench/board_pictures.py:_WHITE",
        "workbench/other_faces.py:UNSEEN",
        "capture/log_clock.py:DAY",
        "session/clocks.py:DAY",
        "capture/log_clock.py:HOUR",
        "capture/log_clock.py:MINUTE",
        "capture/log_stamps.py:_CENTURY",
        "capture/photo.py:_TURNS",
        "capture/log_stamps.py:_EPOCH",
        "capture/log_stamps.py:_FRACTION_DIGITS",
        "capture/log_stamps.py:_NOON",
        "capture/log_values.py:_SURE_DIGITS",
        "capture/number.py:INSTRUMENT_INFINITY",
        "capture/number.py:INSTRUMENT_NOT_A_NUMBER",
        "capture/signature.py:_SIGNATURES",
        "capture/timing.py:SINGLE_PRECISION",
        "casefile/entries.py:_EPOCH",
        "cli/__init__.py:INTERRUPTED",
    ),
    "the width of a text and where a page listens": (
        "cli/reporting.py:PORT",
        "cli/tables.py:TABLE_WIDTH",
        "cli/commands.py:WIDEST_HELP",
    ),
    "statistics: a property of the normal distribution": (
        "copper/metal_posterior.py:_TAIL",
        "copper/heating_digits.py:ONE_STEP",
        "copper/heating_grid.py:STEP_OVER_U",
        "copper/heating_grid.py:SECOND_DIFFERENCE",
        "copper/settling.py:_WIDTH_OVER_SIGMA",
        "copper/source_impedance.py:MEDIAN_TO_SIGMA",
        "insulation/capacitor_discharge.py:MISSED",
        "insulation/edge_snapping.py:QUARTILE",
        "insulation/path_uncertainty.py:_END_ERROR",
        "pilot/edges.py:NORMAL_EDGE",
        "pilot/edges.py:PARABOLA_MIDDLE",
        "pilot/figures.py:MEDIAN_DEVIATION_TO_SIGMA",
        "pilot/figures.py:ONE_SIDED",
        "pilot/mains_output.py:_OUTER_OF_SINE",
        "pilot/scale.py:MEDIAN_TO_SIGMA",
        "protection/residual_waveform.py:MEDIAN_TO_SIGMA",
        "conclusion/event_tree.py:OUTER",
        "conclusion/event_tree.py:TO_95",
        "session/phases.py:DEVIATION_OF_DIFFERENCES",
    ),
    "arithmetic: how a unit of time is divided, where the thirds of a line lie": (
        "copper/temperature_rise.py:SECONDS_PER_HOUR",
        "capture/video_still.py:_SIXTY",
        "session/energy.py:SECONDS_PER_HOUR",
        "session/standby.py:YEAR_HOURS",
        "session/levels.py:OUTER_THIRDS",
    ),
    "geometry of a picture: how many figures settle a map of a plane": (
        "insulation/conductors.py:_PAIRS_AT_ONCE",
        "insulation/gap_direction.py:_HALF_TURN",
        "insulation/edge_points.py:DETOUR",
        "insulation/edge_points.py:_ENTRIES_AT_ONCE",
        "insulation/edge_points.py:_THINNEST_MM",
        "insulation/faces.py:_LAST_SPACING_MM",
        "insulation/faces.py:_MOST_POINTS",
        "insulation/point_lines.py:_ROWS_AT_ONCE",
        "insulation/grooves.py:_QUARTER",
        "insulation/grooves.py:_STEPS",
        "insulation/section.py:_WIDTHS",
        "insulation/paths.py:NEXT_REACH",
        "insulation/paths.py:_FIRST_BOUND",
        "insulation/plane_lines.py:_ROWS_AT_ONCE",
        "insulation/paths.py:_TRIED",
        "insulation/visibility.py:_FEW_RIMS",
        "insulation/visibility.py:_PAIRS_AT_ONCE",
        "insulation/picture_scale.py:HOMOGRAPHY_UNKNOWNS",
        "insulation/plane_map.py:ENTRIES",
    ),
    "the same, told in the docstring of the one function that uses it": (
        "capture/level.py:_FEWEST_LEVELS",
        "checks/detection.py:FEWEST_UNITS",
        "capture/level.py:_LEVEL_SHARE",
        "capture/level.py:_NEAR_EXTREME",
        "capture/level.py:_STEP_TOLERANCE",
    ),
    "a belief beforehand about metals and areas, named as a judgement, with others whose answers are printed": (
        "copper/metal_priors.py:AREAS_MM2",
        "copper/metal_priors.py:CUT_LOOKS",
        "copper/metal_priors.py:HELD",
        "copper/metal_priors.py:MAGNET_YES",
        "copper/metal_priors.py:METAL_PRIOR",
        "copper/metal_priors.py:SHORTFALL",
        "copper/metal_priors.py:SUSPICIOUS_PRIOR",
    ),
    "the temperature at which the Celsius scale ends, by definition": ("copper/metal_evidence.py:_ABSOLUTE_ZERO",),
    "what a table's rows are printed for": ("copper/cable_rating.py:_PRINTED",),
    "what a bench of the trade reaches, by which the next measurement is chosen; nothing is judged by it": (
        "copper/settling.py:BENCH",
    ),
    OURS: (
        "checks/use_currents.py:AT_MOST_TIMES",
        "copper/unread_neutral.py:LIKE_THE_LINE",
        "checks/lead_way.py:JOINTS",
        "copper/comparison.py:LIKE",
        "protection/residual_waveform.py:ABOVE_NOISE",
        "protection/residual_waveform.py:ANGLES_DEG",
        "protection/residual_waveform.py:EDGE",
        "protection/residual_waveform.py:FEWEST_PERIODS",
        "protection/residual_waveform.py:LEAST_SAMPLES",
        "protection/residual_waveform.py:LONGEST_REST",
        "protection/residual_waveform.py:LOW",
        "protection/residual_waveform.py:NEAR_ZERO_DEG",
        "protection/residual_waveform.py:BOTH_SIDES",
        "protection/residual_waveform.py:QUIET_SHARE",
        "protection/residual_waveform.py:RISES",
        "protection/residual_waveform.py:SURELY",
        "protection/residual_waveform.py:USUAL_FREQUENCIES",
        "protection/residual_waveform.py:UNQUIET",
        "protection/residual_waveform.py:WHOLE_PERIODS",
        "protection/trip_test.py:FEWEST_OPERATIONS",
        "checks/typed_twice.py:APART_S",
        "workbench/residual_evidence.py:PARTING",
        "protection/trip_test.py:UNSTATED_CURRENT",
        "checks/distance_evidence.py:LONGEST_GAP_MM",
        "checks/sealing.py:DUST",
        "checks/distance_voltage.py:FROM_LINE_TO_LINE",
        "checks/heated_metal.py:SAME_CURRENT",
        "copper/current_map.py:BEYOND",
        "copper/current_map.py:COLDEST_AIR",
        "copper/hot_metal.py:LATEST_FIRST",
        "copper/layers.py:MOST_CORES",
        "copper/metal_evidence.py:MOST_SHARED",
        "copper/metal_evidence.py:_PLAUSIBLE",
        "copper/metal_evidence.py:_ROOM",
        "copper/metal_posterior.py:REACH",
        "insulation/plane_problem.py:HALF_DIAGONAL_OVER_FOCAL_LENGTH",
        "insulation/card_shape.py:LEAST_SPARE",
        "insulation/plane_problem.py:LENS_U",
        "insulation/plane_problem.py:ROUNDS",
        "insulation/calibration.py:START_U_PX",
        "insulation/calibration.py:THINNEST",
        "insulation/corner_scatter.py:CAMERA_HEIGHT_U",
        "insulation/corner_scatter.py:CLEAR_OF",
        "insulation/corner_scatter.py:FINEST_PICK_MM",
        "insulation/corner_scatter.py:FLAT_WITHIN_MM",
        "insulation/corner_scatter.py:LONGEST_LENS",
        "insulation/corner_scatter.py:NEAREST_MM",
        "insulation/gap_direction.py:LEAST_ANGLE_DEG",
        "insulation/corner_scatter.py:STATED_LEVEL_U_MM",
        "insulation/edge_snapping.py:BESIDE_PX",
        "insulation/edge_snapping.py:BLUR_SHARE",
        "insulation/edge_snapping.py:FARTHEST_REACH_PX",
        "insulation/edge_snapping.py:REACHES_AROUND",
        "insulation/edge_snapping.py:RIVAL",
        "insulation/edge_snapping.py:TURNS",
        "insulation/outline_proposing.py:COARSE_DOUBT",
        "workbench/outlines.py:MOST_CORNERS",
        "workbench/outlines.py:MOST_OUTLINES",
        "workbench/outlines.py:_NEAR",
        "workbench/outlines.py:_SHORT",
        "insulation/edge_snapping.py:CORNER_PX",
        "insulation/edge_snapping.py:FEWEST_LINES",
        "insulation/edge_snapping.py:INDEPENDENT_PX",
        "insulation/edge_snapping.py:LEAST_CONTRAST",
        "insulation/edge_snapping.py:LEAST_SHARE",
        "insulation/edge_snapping.py:LEAST_U_PX",
        "insulation/edge_snapping.py:MOST_LEAN_PX",
        "insulation/edge_snapping.py:MOST_SCATTER_PX",
        "insulation/edge_snapping.py:OUTLIER",
        "insulation/edge_snapping.py:REACH_PX",
        "insulation/edge_snapping.py:ROUNDS",
        "insulation/edge_snapping.py:SHALLOW_DEG",
        "insulation/edge_snapping.py:STEP_PX",
        "insulation/region_growing.py:LEAST_PX",
        "insulation/region_growing.py:MOST_OF_PICTURE",
        "insulation/region_growing.py:OTHER_TOLERANCE",
        "insulation/region_growing.py:TOLERANCE",
        "insulation/region_growing.py:UNSTEADY",
        "insulation/groove_doubt.py:PARALLEL",
        "insulation/lens.py:NEWTON_STEPS",
        "insulation/path_uncertainty.py:LEAN",
        "insulation/path_uncertainty.py:QUANTILES",
        "conclusion/event_tree.py:DRAWS",
        "conclusion/event_tree.py:SEED",
        "insulation/path_uncertainty.py:SEED",
        "insulation/path_uncertainty.py:WIDTH_REACH",
        "insulation/plane_problem.py:ODD_LENS",
        "insulation/card_bow.py:BOW_U_MM",
        "insulation/card_bow.py:NEAR_DEG",
        "insulation/card_bow.py:TOWARD_DEG",
        "insulation/card_bow.py:TURN_U",
        "insulation/card_bow.py:USUAL_FOCALS",
        "insulation/card_bow.py:_SHEET",
        "insulation/card_bow.py:_THIRD",
        "insulation/card_shape.py:BOW_ROUGH",
        "insulation/card_shape.py:GRID",
        "insulation/card_shape.py:TOLD_APART",
        "insulation/card_shape.py:TOLD_BOW_MM",
        "insulation/plane_problem.py:ODD_BOW",
        "insulation/camera_pose.py:DRAWS",
        "insulation/camera_pose.py:FOCAL_U_RELATIVE",
        "insulation/card_calibration.py:PRINT_U_MM",
        "insulation/card_calibration.py:STRAY",
        "insulation/card_calibration.py:MOST_STRAYS",
        "insulation/card_calibration.py:BLUR_REFUSED_MM",
        "insulation/card_calibration.py:BLUR_TOLD_MM",
        "insulation/card_calibration.py:SHARP_PX",
        "insulation/card_calibration.py:OFF_PLANE_MM",
        "insulation/card_calibration.py:UNLIKELY_PRINT",
        "insulation/card_detection.py:SEARCHED_PX",
        "insulation/card_detection.py:FEWEST_MARKS",
        "insulation/card_detection.py:FEWEST_CORNERS",
        "insulation/card_detection.py:OFF_SQUARES",
        "insulation/card_detection.py:SMALLEST_SQUARE_PX",
        "insulation/card_detection.py:ROUNDS",
        "insulation/card_pair.py:APART",
        "insulation/edge_blur.py:REACH",
        "insulation/edge_blur.py:ALONG",
        "insulation/edge_blur.py:DARKEST",
        "insulation/photo_reading.py:DRAWS",
        "insulation/other_face.py:CONFIDENCE",
        "insulation/other_face.py:DRAWS",
        "insulation/other_face.py:SEED",
        "insulation/photo_reading.py:SEED",
        "insulation/photo_reading.py:HEIGHTS_MM",
        "insulation/photo_reading.py:STEEP_DEG",
        "capture/photo.py:LARGEST_FILE",
        "capture/photo.py:MOST_PIXELS",
        "capture/photo.py:FEWEST_PIXELS",
        "capture/photo.py:LONGEST_FOCAL_MM",
        "capture/photo.py:FULL_FRAME_DIAGONAL_MM",
        "capture/video_still.py:LONGEST_S",
        "insulation/required_telling.py:LEAST_MAINS",
        "insulation/scale_card.py:BAR_GAP_MM",
        "insulation/scale_card.py:BAR_WIDTH_MM",
        "insulation/scale_card.py:COLUMNS",
        "insulation/scale_card.py:MARGIN_MM",
        "insulation/scale_card.py:MARKER_MM",
        "insulation/scale_card.py:ROWS",
        "insulation/scale_card.py:SQUARE_MM",
        "insulation/scale_card.py:TITLE_MM",
        "copper/metal_telling.py:FAR",
        "copper/metal_telling.py:ONE_AREA",
        "copper/metal_telling.py:POOR",
        "copper/metal_telling.py:_ALMOST",
        "copper/metal_telling.py:_LISTED",
        "copper/metal_telling.py:_NEAR_SURE",
        "copper/rated.py:HOTTEST",
        "copper/resistance.py:UNLIKE",
        "copper/settling.py:OUTCOME_REACH",
        "copper/source_impedance.py:LARGEST_PLAUSIBLE",
        "copper/source_impedance.py:LEAST_STEP",
        "copper/source_impedance.py:LONGEST_GAP",
        "copper/source_impedance.py:SMALLEST_PLAUSIBLE",
        "copper/voltage_drop_telling.py:ODD_VOLTAGE",
        "checks/length_variants.py:LONGEST",
        "copper/steady.py:GENTLEST_SLOPE",
        "copper/steady.py:HOTTEST_SHEATH",
        "copper/steady.py:USUAL_SLOPE",
        "copper/usual_build.py:LAYERS_SPREAD",
        "copper/usual_build.py:PACKING",
        "copper/drop_formulas.py:COLDEST",
        "copper/drop_formulas.py:HOTTEST",
        "copper/supposed_warmth.py:COOLEST_IN_USE",
        "copper/supposed_warmth.py:HOTTEST_TABLE",
        "copper/voltage_drop_telling.py:MOST_PERCENT",
        "workbench/required_distances.py:LONGEST",
        "copper/conductor.py:ABOUT_TWICE",
        "copper/conductor.py:GIVEN_AWAY",
        "checks/conductor_metal.py:SHARES_OF_PINS",
        "checks/conductor_metal.py:SHARE_U",
        "session/standby.py:MOST_IDLE",
        "session/outages.py:LEAST_SUPPLY",
        "capture/log_clock.py:FARTHEST",
        "capture/log_clock.py:GAP_STEPS",
        "capture/log_clock.py:ALONE_STEPS",
        "capture/log_clock.py:MISPLACED_STEPS",
        "capture/log_columns.py:_EPOCH_RANGES",
        "capture/log_values.py:KELVIN",
        "capture/log_values.py:NUMBER_MARK",
        "capture/log_values.py:PLAUSIBLE",
        "capture/log_values.py:SLIP",
        "copper/heating_curve.py:FEWEST_BLOCKS",
        "copper/heating_digits.py:FEWEST_CHANGES",
        "copper/heating_digits.py:STANDS",
        "copper/heating_grid.py:BEND",
        "copper/heating_grid.py:LAG",
        "copper/heating_grid.py:LAG_OF_BODY",
        "copper/heating_grid.py:APART",
        "copper/heating_grid.py:APART_IN_CHAIN",
        "copper/heating_grid.py:SLOWEST",
        "copper/heating_grid.py:FASTEST",
        "copper/heating_noise.py:SHARES",
        "copper/heating_noise.py:LASTING",
        "copper/heating_noise.py:DRAUGHT_LASTING",
        "copper/heating_noise.py:DRAUGHT_LAG",
        "copper/heating_noise.py:DRAUGHT_SHARES",
        "copper/heating_rows.py:SAME_CURRENT",
        "copper/heating_rows.py:MOVED",
        "copper/heating_rows.py:COOLED",
        "copper/heating_rows.py:_SMOOTHED_ROWS",
        "copper/hot_metal.py:QUICK_FALL",
        "copper/heating_telling.py:LIKE_KELVIN",
        "copper/rated.py:RADIATED",
        "copper/temperature_rise.py:WORTH_TELLING",
        "copper/rated.py:ICE_POINT",
        "copper/heating_telling.py:WORTH_SAYING",
        "copper/heating_telling.py:HOTTEST_ROOM",
        "copper/heating_telling.py:LIKE_FAHRENHEIT",
        "copper/heating_telling.py:FAHRENHEIT",
        "copper/heating_telling.py:COLDEST_READ",
        "copper/heating_telling.py:HOTTEST_READ",
        "copper/heating_telling.py:LARGE_CURRENT",
        "copper/heating_telling.py:SAME",
        "copper/heating_telling.py:HOTTEST_AIR",
        "copper/heating_telling.py:COLDEST_AIR",
        "copper/runaway.py:FASTER",
        "copper/runaway.py:SURELY",
        "report/heating_lines.py:WORTH_SAYING",
        "copper/hot_joint.py:FAR_ENOUGH",
        "copper/temperature_rise.py:METAL_ABOVE",
        "pilot/circuit.py:REFERENCE_CURRENT",
        "report/heating_lines.py:UNEVEN",
        "checks/hot_plug.py:SAME",
        "checks/hot_plug.py:BODY_GIVES_OFF",
        "pilot/circuit.py:REFERENCE_TEMPERATURE",
        "protection/earth_continuity.py:REFERENCE",
        "pilot/crossings.py:SHORTEST_HALF",
        "pilot/cycles.py:LEAD",
        "pilot/cycles.py:LEAD_SHARE",
        "pilot/cycles.py:LONGEST_HALF",
        "pilot/cycles.py:LONGEST_SETTLING",
        "pilot/duty_cycle.py:QUANTILES",
        "pilot/diode.py:SURE_MOVE",
        "pilot/plausibility.py:NO_MEAN",
        "pilot/flicker.py:LASTING",
        "pilot/flicker.py:MAIN_SHARE",
        "pilot/glitches.py:DEPARTURE_NOISE",
        "pilot/glitches.py:DEPARTURE_STEPS",
        "pilot/glitches.py:SERIES",
        "pilot/edges.py:AROUND",
        "pilot/edges.py:BANDWIDTH_EDGE",
        "pilot/edges.py:BEND",
        "pilot/edges.py:FEWEST_ON_LINE",
        "pilot/edges.py:FEWEST_SAMPLES",
        "pilot/edges.py:FINE",
        "pilot/edges.py:NOISIEST",
        "pilot/edges.py:SEEN",
        "checks/offer_steady.py:PLACED",
        "checks/pilot_levels.py:LASTING",
        "checks/pilot_runs.py:FEW_CYCLES",
        "checks/recognition.py:SURE",
        "pilot/figures.py:FEWEST",
        "pilot/figures.py:IRREGULAR",
        "pilot/figures.py:OUTLIER",
        "pilot/figures.py:SAMPLING_SPREAD",
        "pilot/figures.py:SLOWEST_LAG",
        "pilot/levels.py:DRIFT_LEFT",
        "pilot/timing.py:BATCHES",
        "pilot/level_output.py:COIL_UP",
        "pilot/level_output.py:DROP_NOISE",
        "pilot/level_output.py:HIGH_NOISE",
        "pilot/level_output.py:LEAST_DROP",
        "pilot/level_output.py:LONGEST_GAP",
        "pilot/level_output.py:USUAL",
        "pilot/level_output.py:_LASTING",
        "pilot/level_output.py:_LEAST_SAMPLES",
        "pilot/level_output.py:_SWING_NOISE",
        "pilot/mains_sine.py:AGREES_NOISE",
        "pilot/mains_sine.py:AGREES_SHARE",
        "pilot/mains_sine.py:BOUNCE",
        "pilot/mains_output.py:CLEAR_FROM",
        "pilot/mains_output.py:FEWEST_IN_MEANS",
        "pilot/mains_output.py:PLAUSIBLE",
        "pilot/offer_steps.py:LEAST_STEP",
        "pilot/offer_steps.py:QUIET",
        "pilot/offer_steps.py:STEP_NOISE",
        "pilot/mains_output.py:QUIETED",
        "pilot/mains_output.py:FASTEST",
        "pilot/mains_sine.py:LASTING",
        "pilot/mains_sine.py:LASTING_SHARE",
        "pilot/mains_output.py:LONGEST_GAP",
        "pilot/mains_output.py:LONGEST_HALF",
        "pilot/mains_sine.py:RECONTACT",
        "pilot/mains_output.py:SLOWEST",
        "pilot/mains_sine.py:THRESHOLD",
        "pilot/mains_sine.py:WORST_FIT",
        "pilot/mains_sine.py:_CLIPPED_HEIGHTS",
        "pilot/mains_output.py:_COARSE",
        "pilot/mains_sine.py:_TIME_CONSTANTS",
        "pilot/mains_sine.py:_HARMONICS",
        "pilot/picture.py:MARGIN",
        "pilot/placement.py:CURVATURE",
        "pilot/placement.py:UNSEEN",
        "pilot/plateaus.py:STEADY_SHARE",
        "pilot/resistor_networks.py:CLOSE",
        "pilot/scale.py:HYSTERESIS_NOISE",
        "pilot/scale.py:HYSTERESIS_STEPS",
        "pilot/scale.py:LEAST_HYSTERESIS",
        "pilot/scale.py:SPREAD_LEAST",
        "pilot/scale.py:SPREAD_NOISE",
        "pilot/scale.py:_LARGEST_STEP",
        "pilot/scale.py:_MOST_STEPS",
        "pilot/states.py:MAJORITY",
        "pilot/states.py:SHORTEST_RUN",
        "pilot/states.py:SHORTEST_RUN_SHARE",
        "checks/session_interruption.py:WATCHED_FOR",
        "checks/earth_continuity.py:INDOORS",
        "checks/earth_continuity.py:INDOORS_EITHER_WAY",
        "checks/earth_continuity.py:LIKE_THE_ROOM",
        "protection/body_current.py:HIGHEST_PERCENTILE",
        "pilot/operations.py:FEWEST_OPERATIONS",
        "pilot/switching.py:PASSAGE",
        "pilot/switching.py:QUICKEST_CONTACT",
        "session/charge_log.py:LARGEST_VOLTAGE",
        "session/charge_log.py:SMALLEST_POWER",
        "session/charge_log.py:DISAGREES",
        "session/levels.py:DRIFT_SHARE",
        "session/levels.py:DRIFT_DEVIATIONS",
        "session/levels.py:SLOWEST",
        "session/levels.py:EDGE_DEVIATIONS",
        "session/levels.py:EDGE_STEPS",
        "session/levels.py:EDGE_SHARE",
        "session/levels.py:MONOTONE",
        "session/row_means.py:BATCHES",
        "session/outages.py:SLOW_SHARE",
        "session/outages.py:GAP_TIMES",
        "session/outages.py:HIGH_SHARE",
        "session/phases.py:RESTS_A",
        "session/phases.py:RESTS_W",
        "session/phases.py:SHARE_OF_CURRENT",
        "session/phases.py:SHARE_OF_POWER",
        "session/phases.py:LEAST_A",
        "session/phases.py:LEAST_W",
        "session/phases.py:NOISE_SPAN",
        "session/phases.py:STEPS_SPAN",
        "session/phases.py:NEW_CHARGE",
        "session/reading.py:FEW_GAPS",
        "session/reading.py:LARGEST_CHARGE",
        "session/reading.py:LONG_PAUSE",
    ),
}
"""Named constants that hold another number: why they are no values from outside, and ``package/module.py:NAME``."""

LISTED = {name for names in CONSTANTS.values() for name in names}


def _parents(tree: ast.Module) -> dict[ast.AST, ast.AST]:
    return {child: parent for parent in ast.walk(tree) for child in ast.iter_child_nodes(parent)}


def _ancestors(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> Iterator[ast.AST]:
    while node in parents:
        node = parents[node]
        yield node


def constant_name(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> str | None:
    """Return the name of the module's constant whose value a number belongs to, or None."""
    above = list(_ancestors(node, parents))
    statement = above[-2] if len(above) > 1 else node
    if isinstance(statement, ast.AnnAssign) and isinstance(statement.target, ast.Name):
        return statement.target.id
    if isinstance(statement, ast.Assign):
        first = statement.targets[0]
        first = first.elts[0] if isinstance(first, ast.Tuple) else first
        return first.id if isinstance(first, ast.Name) else None
    return None


def only_counts(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> bool:
    """Whether a number is a place in a sequence, a number of digits, or a power of two: there it can be no limit."""
    for ancestor in _ancestors(node, parents):
        if isinstance(ancestor, ast.Subscript | ast.FormattedValue):
            return True
        if isinstance(ancestor, ast.BinOp) and isinstance(ancestor.op, ast.LShift):
            return True
        if isinstance(ancestor, ast.Call) and _called(ancestor) in (*ROUNDING, *PROGRESS):
            return True
        if isinstance(ancestor, ast.Call) and _called(ancestor) == ROOT and node in ancestor.args:
            return True
        if isinstance(ancestor, ast.stmt):
            return False
    return False


def carries_its_source(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> bool:
    """Whether a number belongs to a record that says where it is from, or how long the work takes."""
    return any(
        (isinstance(ancestor, ast.Call) and _called(ancestor) in SOURCED)
        or (isinstance(ancestor, ast.keyword) and ancestor.arg in BENCH_WORK)
        for ancestor in _ancestors(node, parents)
    )


def lays_out(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> bool:
    """Whether a number is handed on as it is: where things are drawn that is a width or a place on paper."""
    for ancestor in _ancestors(node, parents):
        if isinstance(ancestor, ast.Compare | ast.BinOp | ast.arguments):
            return False
        if isinstance(ancestor, ast.Call):
            return True
        if isinstance(ancestor, ast.stmt):
            return False
    return False


def _called(call: ast.Call) -> str:
    return ast.unparse(call.func).split(".")[-1]


def numbers(source: str, *, drawn: bool = False) -> Iterator[tuple[int, float, str | None]]:
    """Yield line, value and constant's name of each number that is not free."""
    tree = ast.parse(source)
    parents = _parents(tree)
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or isinstance(node.value, bool | str | bytes | complex):
            continue
        if not isinstance(node.value, int | float) or node.value in FREE or only_counts(node, parents):
            continue
        if isinstance(node.value, int) and node.value in FREE_COUNTS:
            continue
        if (ast.get_source_segment(source, node) or "")[:2].lower() in ("0x", "0o", "0b"):
            continue
        if carries_its_source(node, parents) or (drawn and lays_out(node, parents)):
            continue
        yield node.lineno, node.value, constant_name(node, parents)


def unexplained(path: Path, source: str) -> list[str]:
    """Return a line for each number of a module that is neither free nor a constant listed here."""
    place = str(path)
    return [
        f"{place}, line {line}: {value:g}" + (f" in {name}, which is not listed" if name else " has no name")
        for line, value, name in numbers(source, drawn=path.parts[0] in DRAWN)
        if f"{place}:{name}" not in LISTED
    ]


@pytest.mark.parametrize("package", SCANNED)
def test_no_number_from_outside_stands_in_the_code(package: str) -> None:
    """Each number of the package is free, or a named constant with a reason why it is not from outside."""
    found = [
        fault
        for path in sorted((SOURCE / package).rglob("*.py"))
        if not path.is_relative_to(SOURCE / ON_PAPER)
        for fault in unexplained(path.relative_to(SOURCE), path.read_text(encoding="utf-8"))
    ]

    assert "\n".join(found) == ""


def test_every_listed_constant_still_exists() -> None:
    """The list holds nothing that the code no longer has."""
    existing = {
        f"{path.relative_to(SOURCE)}:{name}"
        for package in SCANNED
        for path in (SOURCE / package).rglob("*.py")
        for _, _, name in numbers(path.read_text(encoding="utf-8"), drawn=package in DRAWN)
    }

    assert sorted(LISTED - existing) == []


def explained_constants(source: str) -> set[str]:
    """Return the module's constants that have a docstring right below them, or below the constants they stand with."""
    explained, waiting = set(), set()
    for statement in ast.parse(source).body:
        if isinstance(statement, ast.Assign | ast.AnnAssign):
            target = statement.target if isinstance(statement, ast.AnnAssign) else statement.targets[0]
            named = target.elts if isinstance(target, ast.Tuple) else [target]
            waiting |= {name.id for name in named if isinstance(name, ast.Name)}
            continue
        if isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant):
            explained |= waiting
        waiting = set()
    return explained


def test_a_choice_of_ours_says_why_beside_it() -> None:
    """A constant that shapes what is recognised has a docstring."""
    silent = []
    for name in CONSTANTS[OURS]:
        module, constant = name.split(":")
        if constant not in explained_constants((SOURCE / module).read_text(encoding="utf-8")):
            silent.append(name)

    assert silent == []


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("def f(v):\n    return v > 10.7", "checks/x.py, line 2: 10.7 has no name"),
        ("def f(v):\n    return v < 3.0", "checks/x.py, line 2: 3 has no name"),
        ("LIMIT = 230.0", "checks/x.py, line 1: 230 in LIMIT, which is not listed"),
        ("class A:\n    share: float = 0.89", "checks/x.py, line 2: 0.89 has no name"),
        ("f = max(v, limit=-11.4)", "checks/x.py, line 1: 11.4 in f, which is not listed"),
    ],
)
def test_a_limit_in_the_code_is_seen(line: str, expected: str) -> None:
    """A level, a voltage, a share, as it would be slipped in, is found."""
    assert unexplained(Path("checks/x.py"), line) == [expected]


@pytest.mark.parametrize(
    "line", ["a = b[7:16]", "a = round(b, 6)", "a = f'{b:12.6f}'", "a = 0.5 * (b + 1e-6)", "a = -1", "a = 0x2126"]
)
def test_counting_and_halving_are_free(line: str) -> None:
    """A place in a sequence, digits to print and a decimal shift are not constants from outside."""
    assert unexplained(Path("checks/x.py"), line) == []
