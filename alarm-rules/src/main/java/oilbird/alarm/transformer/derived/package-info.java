/**
 * What is computed of one transformer while it runs: samples and temperatures of its monitors in, points and
 * indications of the asset out, each with its quality and, where it cannot be told, the reason.
 */
@NullMarked
package oilbird.alarm.transformer.derived;

import org.jspecify.annotations.NullMarked;
