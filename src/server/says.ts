/** What each status means, wherever it comes from. */
export const SERVER_SAYS: Readonly<Record<number, string>> = {
  400: 'what was sent can not be read',
  401: 'nobody is signed in, or the session has locked',
  403: 'this person may not, or the change came from another page',
  404: 'there is nothing of this name',
  409: 'somebody else was first, or what is kept is not as it was written',
  413: 'too long',
  415: 'not in a form that is taken here',
  422: 'what was sent is not as it has to be',
  423: 'locked out for a while',
  429: 'too much at once',
  503: 'nothing was kept: the disk is full, or the database is gone',
};
