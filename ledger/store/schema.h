// The text of schema.sql, embedded at build.
#pragma once

namespace trayproof::store {

const char* schema_sql();

}  // namespace trayproof::store
