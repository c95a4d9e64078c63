/**
 * The versioned JSON forms that leave the process, by links and by REST.
 *
 * <p>A form's {@code form} key names it and its version, as in {@code oilbird.alarm-event/1}. Within a version
 * keys are only added. The JSON Schemas are published beside the classes, in {@code schema}. An optional key
 * is absent when there is nothing to say.
 */
@NullMarked
package oilbird.gateway.contract;

import org.jspecify.annotations.NullMarked;
