/**
 * Labelled scenarios: the demo plant plays a fault whose cause is known, and what the station makes of it is judged.
 * Image, decoder and fold are the real ones, in one process and without waiting.
 */
@NullMarked
package oilbird.acceptance.scenario;

import org.jspecify.annotations.NullMarked;
