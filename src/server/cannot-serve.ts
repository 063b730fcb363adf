/** What kept the server from starting, in words for the person who started it. */
export class CannotServe extends Error {}
