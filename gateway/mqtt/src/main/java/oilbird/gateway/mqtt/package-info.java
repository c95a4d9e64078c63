@NullMarked
package oilbird.gateway.mqtt;

import org.jspecify.annotations.NullMarked;
