// SQLite's files in a browser: a VFS over synchronous access handles of the origin-private file system.
//
// The worker opens one handle for each file there can be (the database, its write-ahead log, its journal) and lays them
// into Module.files before the database is opened, since opening one takes a promise and SQLite cannot wait for it. A handle
// is exclusive to one worker of one tab, so it is the lock: SQLite's own locks need do nothing. A file of size 0 is taken as
// one that is not there, for the same reason: handles cannot be removed while SQLite waits.
//
// A commit is durable when it returns: xSync is the handle's flush(), which the browser passes on to the disk.
#pragma once

namespace wrackline {

// Makes it SQLite's default; called by SQLite itself when it starts (sqlite3_os_init).
int register_opfs_vfs();

}  // namespace wrackline
