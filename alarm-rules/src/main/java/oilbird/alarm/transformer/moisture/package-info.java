/** Water in oil: solubility, relative saturation, the coldest point, and the limits of IEC 60422. */
@NullMarked
package oilbird.alarm.transformer.moisture;

import org.jspecify.annotations.NullMarked;
