/** What a client may ask and do, under {@code /api/v1}. */
@NullMarked
package oilbird.gateway.app.rest;

import org.jspecify.annotations.NullMarked;
