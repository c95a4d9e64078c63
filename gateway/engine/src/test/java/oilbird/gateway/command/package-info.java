@NullMarked
package oilbird.gateway.command;

import org.jspecify.annotations.NullMarked;
