/** The MQTT link against brokers on real sockets. */
@NullMarked
package oilbird.gateway.mqtt;

import org.jspecify.annotations.NullMarked;
