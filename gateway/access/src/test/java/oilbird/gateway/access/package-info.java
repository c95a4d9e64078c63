/** Who may do what: users, roles, sessions, tokens. One table decides for every door; nothing here knows one. */
@NullMarked
package oilbird.gateway.access;

import org.jspecify.annotations.NullMarked;
