/** Top-oil and hot-spot temperature, ageing, and the residual that shows impaired cooling. */
@NullMarked
package oilbird.alarm.transformer.heat;

import org.jspecify.annotations.NullMarked;
