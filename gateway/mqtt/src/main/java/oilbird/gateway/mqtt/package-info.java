/** The MQTT link: events, retained alarm states and a sign of life to a broker. */
@NullMarked
package oilbird.gateway.mqtt;

import org.jspecify.annotations.NullMarked;
