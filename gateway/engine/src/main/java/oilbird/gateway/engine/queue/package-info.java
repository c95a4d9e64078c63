/** The bounded queue between those who see something happen and the one thread that makes something of it. */
@NullMarked
package oilbird.gateway.engine.queue;

import org.jspecify.annotations.NullMarked;
