/** The whole invented plant as a function of time and injected faults; no sockets, no clock. */
@NullMarked
package oilbird.demoplant.plant;

import org.jspecify.annotations.NullMarked;
