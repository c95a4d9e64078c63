/** Laboratory samples as persons write them: single ones and tables. */
@NullMarked
package oilbird.gateway.sample;

import org.jspecify.annotations.NullMarked;
