// Prints what W3C's WebVTT parser says of each file named: a JSON list with, for each, its
// errors (line, column, message) and its cues (identifier, times in seconds, text).
"use strict";

const fs = require("node:fs");
const { WebVTTParser } = require("webvtt-parser");

const judged = process.argv.slice(2).map((file) => {
  const { cues, errors } = new WebVTTParser().parse(fs.readFileSync(file, "utf8"));
  return {
    errors: errors.map(({ line, col, message }) => ({ line, column: col, message })),
    cues: cues.map(({ id, startTime, endTime, text }) => ({
      identifier: id,
      start_s: startTime,
      end_s: endTime,
      text,
    })),
  };
});
process.stdout.write(JSON.stringify(judged));
