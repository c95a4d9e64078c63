/** Dissolved-gas samples and every single method of interpretation, each with clause, units and limits of validity. */
@NullMarked
package oilbird.alarm.transformer.gas;

import org.jspecify.annotations.NullMarked;
