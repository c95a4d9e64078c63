/** What every link has to hold, tested against a real peer; the modules of the links fill it. */
@NullMarked
package oilbird.gateway.engine.outbox.contract;

import org.jspecify.annotations.NullMarked;
